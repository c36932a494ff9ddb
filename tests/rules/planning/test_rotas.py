"""The rota of machines: always allowed, as full and as fair as it can be, and plain about why."""

from dataclasses import replace

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from machines.planning.facts import (
    ProblemCode,
    Rota,
    RotaFacts,
    RotaMachine,
    RotaMoves,
    RotaStudent,
    Seat,
    SeatChoice,
)
from machines.planning.rules.checks import check_rota
from machines.planning.rules.rotas import make_rota
from tests.rules.planning.cases import all_rotas, best_rota, rota_facts, score

ANA, BEN, CLEO = (RotaStudent(key, name, minutes) for key, name, minutes in [(0, "Ana B.", 20), (1, "Ben C.", 5), (2, "Cleo D.", 40)])  # fmt: skip  # noqa: E501
BAND_SAW, TABLE_SAW = RotaMachine(10, "band saw 1"), RotaMachine(11, "table saw 2", helpers=1)


def facts(*cleared: tuple[int, int], helps: tuple[tuple[int, int], ...] = (), slots: int = 1) -> RotaFacts:
    return RotaFacts(slots, 10, (ANA, BEN, CLEO), (BAND_SAW, TABLE_SAW), frozenset(cleared), frozenset(helps))


def choices(rota: Rota) -> list[SeatChoice]:
    return [SeatChoice(line.seat, line.helpers) for line in rota.lines]


def turn_costs(rota: list[SeatChoice], case: RotaFacts) -> list[int]:
    """The machine time before each turn, the least first."""
    minutes = {student.key: student.minutes for student in case.students}
    costs = []
    for choice in rota:
        costs.append(minutes[choice.seat.student])
        minutes[choice.seat.student] += case.slot_minutes
    return sorted(costs)


# The best rota


@given(rota_facts())
def test_rota_equals_the_best_of_all_rotas(case):
    rota = make_rota(case)
    event(f"{len(rota.lines)} turns")
    assert score(choices(rota), case) == best_rota(case)
    assert rota.proof.proven
    assert (rota.proof.gap, rota.proof.more) == (0, 0)


@given(rota_facts(helpers=False))
def test_rota_shares_time_most_fairly_when_no_machine_needs_a_helper(case):
    # Of all rotas with as many turns: the turn with the most time before it has least, then the next, and so on.
    rota = choices(make_rota(case))
    full = [turn_costs(other, case)[::-1] for other in all_rotas(case) if len(other) == len(rota)]
    assert turn_costs(rota, case)[::-1] == min(full)


@given(rota_facts())
def test_rota_passes_the_check_for_rotas_made_by_hand(case):
    rota = make_rota(case)
    assert rota.problems == ()
    assert check_rota(choices(rota), case) == ()


@given(rota_facts())
def test_rota_accounts_for_each_student_and_machine_in_each_slot(case):
    rota = make_rota(case)
    seats = [line.seat for line in rota.lines]
    students = [(seat.slot, seat.student) for seat in seats] + [(entry.slot, entry.student) for entry in rota.left_out]
    machines = [(seat.slot, seat.machine) for seat in seats] + [(entry.slot, entry.machine) for entry in rota.empty]
    slots = range(case.slots)
    assert sorted(students) == [(slot, s.key) for slot in slots for s in case.students if s.is_here_in(slot)]
    assert sorted(machines) == [(slot, machine.key) for slot in slots for machine in case.machines]
    assert all(entry.sentence for entry in (*rota.left_out, *rota.empty))
    assert all(line.reasons for line in rota.lines)


@given(rota_facts())
def test_rota_out_of_time_is_allowed_and_says_what_may_be_missing(case):
    rota, best = make_rota(case, seconds=0), best_rota(case)
    assert check_rota(choices(rota), case) == ()
    if not rota.proof.proven:
        assert rota.proof.more is not None
        assert len(rota.lines) + rota.proof.more >= best[0]


# Moves by hand


@given(rota_facts(), st.data())
def test_rota_keeps_each_allowed_move_and_names_each_other(case, data):
    seats = [Seat(slot, m.key, s.key) for slot in range(case.slots) for m in case.machines for s in case.students]
    fixed = data.draw(st.frozensets(st.sampled_from(seats), max_size=3))
    rota = make_rota(case, RotaMoves(fixed=fixed))
    kept = {line.seat for line in rota.lines if line.fixed}
    refused = {Seat(p.slot, p.place, p.student) for p in rota.problems if None not in (p.slot, p.place, p.student)}
    assert kept <= fixed
    assert fixed - kept == refused
    assert check_rota(choices(rota), case) == ()


@given(rota_facts(), st.data())
def test_rota_never_gives_a_barred_seat(case, data):
    seats = [Seat(slot, m.key, s.key) for slot in range(case.slots) for m in case.machines for s in case.students]
    barred = data.draw(st.frozensets(st.sampled_from(seats)))
    assert not barred & {line.seat for line in make_rota(case, RotaMoves(barred=barred)).lines}


def test_rota_refuses_a_move_that_clearance_does_not_allow():
    case = replace(facts((0, 10)), why_not={(1, 10): "On hold: talk to the teacher."})
    rota = make_rota(case, RotaMoves(fixed=frozenset({Seat(0, 10, 1)})))
    assert [problem.sentence for problem in rota.problems] == [
        "Ben C. is not cleared on band saw 1. On hold: talk to the teacher."
    ]
    assert [line.seat.student for line in rota.lines] == [0]


def test_rota_refuses_a_move_to_a_machine_without_a_free_helper():
    rota = make_rota(facts((0, 11), (1, 10)), RotaMoves(fixed=frozenset({Seat(0, 11, 0)})))
    (problem,) = rota.problems
    assert problem.code is ProblemCode.NO_HELPER
    assert problem.sentence == "Table saw 2 needs one helper in slot 1."
    assert [line.seat for line in rota.lines] == [Seat(0, 10, 1)]


def test_rota_keeps_the_first_of_two_moves_to_one_machine():
    case = facts((0, 10), (1, 10))
    rota = make_rota(case, RotaMoves(fixed=frozenset({Seat(0, 10, 0), Seat(0, 10, 1)})))
    (problem,) = rota.problems
    assert problem.sentence == "Band saw 1 has two students in slot 1. One student works at each machine."
    assert [(line.seat.student, line.fixed) for line in rota.lines] == [(0, True)]


def test_move_that_is_given_in_the_end_is_not_a_problem():
    # Two moves to the table saw; the first has no helper, and the second has the first student as its helper.
    case = facts((0, 11), (2, 11), helps=((0, 11),))
    rota = make_rota(case, RotaMoves(fixed=frozenset({Seat(0, 11, 0), Seat(0, 11, 2)})))
    assert [(line.seat.student, line.helpers, line.fixed) for line in rota.lines] == [(2, (0,), True)]
    assert [(problem.code, problem.student) for problem in rota.problems] == [(ProblemCode.NO_HELPER, 0)]


def test_move_by_hand_wins_over_a_bar_on_the_same_seat():
    seat = Seat(0, 10, 0)
    rota = make_rota(facts((0, 10)), RotaMoves(fixed=frozenset({seat}), barred=frozenset({seat})))
    assert [line.seat for line in rota.lines] == [seat]


# Words


def test_rota_says_why_a_student_has_the_machine():
    rota = make_rota(facts((0, 10), (1, 10)))
    assert rota.lines[0].reasons == (
        "5 minutes of machine time this term before this turn, the least here.",
        "First time at band saw 1 this term.",
    )


def test_later_turn_counts_the_turns_before_it_today():
    rota = make_rota(facts((1, 10), slots=2))
    assert [line.reasons for line in rota.lines] == [
        (
            "5 minutes of machine time this term before this turn, the least here.",
            "First time at band saw 1 this term.",
        ),
        ("15 minutes of machine time this term before this turn; the class began today with 5 to 40.",),
    ]


def test_rota_names_the_helper_and_gives_the_helper_no_other_place():
    rota = make_rota(facts((0, 11), (1, 10), helps=((1, 11), (2, 11))))
    saw = next(line for line in rota.lines if line.seat.machine == 11)
    assert saw.helpers == (2,)
    assert saw.reasons[-1] == "Helped by Cleo D."
    assert [(entry.student, entry.sentence) for entry in rota.left_out] == [(2, "Helps at table saw 2.")]


def test_rota_says_why_a_student_waits_and_why_a_machine_is_empty():
    rota = make_rota(facts((0, 10), (1, 10), (1, 11)))
    assert {entry.student: entry.sentence for entry in rota.left_out} == {
        0: "Every machine is taken. The least machine time goes first, and this student has 20 minutes.",
        2: "Cleared on no machine that is in service.",
    }
    assert [entry.sentence for entry in rota.empty] == ["Every student cleared on it is at another machine."]
    out_of_service = replace(facts((0, 11)), machines=(replace(BAND_SAW, in_service=False), TABLE_SAW))
    assert [entry.sentence for entry in make_rota(out_of_service).empty] == [
        "Out of service.",
        "No run without one helper.",
    ]
    assert [entry.sentence for entry in make_rota(facts()).empty] == ["No student here is cleared on it."] * 2


def test_rota_is_empty_without_students():
    rota = make_rota(RotaFacts(4, 10, (), (BAND_SAW,), frozenset()))
    assert (rota.lines, rota.left_out, rota.proof.proven) == ((), (), True)
    assert len(rota.empty) == 4


# The check of a rota made by hand


@pytest.mark.parametrize(
    ("choice", "code"),
    [
        (SeatChoice(Seat(0, 10, 2)), ProblemCode.NOT_CLEARED),
        (SeatChoice(Seat(1, 10, 0)), ProblemCode.NO_SUCH_SLOT),
        (SeatChoice(Seat(0, 99, 0)), ProblemCode.OUT_OF_SERVICE),
        (SeatChoice(Seat(0, 10, 99)), ProblemCode.AWAY),
        (SeatChoice(Seat(0, 11, 1)), ProblemCode.NO_HELPER),
        (SeatChoice(Seat(0, 11, 1), (0,)), ProblemCode.HELPER_NOT_CLEARED),
        (SeatChoice(Seat(0, 11, 1), (98, 2)), ProblemCode.AWAY),
    ],
)
def test_check_names_what_is_wrong_with_a_seat(choice, code):
    case = facts((0, 10), (1, 11), helps=((2, 11),))
    assert code in {problem.code for problem in check_rota([choice], case)}


def test_check_finds_two_at_one_machine_and_one_student_at_two():
    case = replace(facts((0, 10), (1, 10), (0, 11), helps=((1, 11),)))
    together = [SeatChoice(Seat(0, 10, 1)), SeatChoice(Seat(0, 10, 0)), SeatChoice(Seat(0, 11, 0), (1,))]
    sentences = [problem.sentence for problem in check_rota(together, case)]
    assert sentences == [
        "Band saw 1 has two students in slot 1. One student works at each machine.",
        "Ben C. has two places in slot 1.",
        "Ana B. has two places in slot 1.",
    ]
