"""The order of a waiting list, what is left on the closing list, and machine time out of runs."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.floor.facts import ClosingAnswer, ClosingCode, ClosingLine, Run, WaitingEntry, WaitingPlace
from machines.floor.rules.closing import STARTER_LINES, closing_state
from machines.floor.rules.runs import hours, last_use, minutes_by_student_and_machine, running_time
from machines.floor.rules.waiting import next_in_line, waiting_order

AT = datetime(2026, 11, 9, 16, 42, tzinfo=UTC)
MINUTE = timedelta(minutes=1)

# Waiting lists


def test_waiting_list_keeps_the_order_of_joining():
    entries = [WaitingEntry(5, 3, 12), WaitingEntry(7, 3, 4), WaitingEntry(6, 4, 1), WaitingEntry(7, 3, 20)]
    assert waiting_order(entries, machine=3) == (WaitingPlace(7, 4), WaitingPlace(5, 12))


def test_next_in_line_skips_a_blocked_student_who_keeps_the_place():
    entries = [WaitingEntry(7, 3, 1), WaitingEntry(5, 3, 2)]
    order = waiting_order(entries, 3, {7: "at band saw 3"})
    assert order[0] == WaitingPlace(7, 1, "at band saw 3")
    assert next_in_line(order) == WaitingPlace(5, 2)
    assert next_in_line(waiting_order(entries, 3)) == WaitingPlace(7, 1)
    assert next_in_line(waiting_order(entries, 3, {7: "not here", 5: "not here"})) is None


entries_of_two_machines = st.builds(WaitingEntry, st.integers(1, 4), st.integers(1, 2), st.integers(1, 99))


@given(st.lists(entries_of_two_machines, unique_by=lambda entry: entry.place))
def test_waiting_list_loses_no_student_and_repeats_none(entries):
    order = waiting_order(entries, 1)
    assert {row.student for row in order} == {entry.student for entry in entries if entry.machine == 1}
    assert len({row.student for row in order}) == len(order)
    assert [row.place for row in order] == sorted(row.place for row in order)


# The closing list

LINES = (ClosingLine(1, "All machines have stopped", standstill=True), ClosingLine(2, "Tools counted, racks full"))
DONE = [ClosingAnswer(1, True, "Odile Ferrant", 1), ClosingAnswer(2, True, "Dalia N.", 2)]


def test_closing_list_is_complete_when_each_line_is_answered_by_name():
    state = closing_state(LINES, DONE, {})
    assert (state.complete, state.answered, state.lines, state.not_done) == (True, 2, 2, ())


def test_open_run_keeps_the_closing_list_from_being_complete():
    state = closing_state(LINES, DONE, {3: "Band saw 3, Jory K.,"})
    assert [problem.sentence for problem in state.problems] == [
        "Band saw 3, Jory K., is still running on the list. Confirm that it has stopped.",
        "“All machines have stopped” can’t be done while a run is open.",
    ]
    assert [(problem.code, problem.about) for problem in state.problems] == [
        (ClosingCode.RUN_OPEN, 3),
        (ClosingCode.NOT_STILL, 1),
    ]


@pytest.mark.parametrize(
    ("answers", "code"),
    [
        (DONE[:1], ClosingCode.NOT_ANSWERED),
        ([DONE[0], ClosingAnswer(2, True, "  ", 2)], ClosingCode.NOT_SEEN),
        ([DONE[0], ClosingAnswer(2, False, "Dalia N.", 2)], ClosingCode.NO_NOTE),
        ([DONE[0], ClosingAnswer(2, False, "Dalia N.", 2, " ")], ClosingCode.NO_NOTE),
        ([*DONE, ClosingAnswer(2, False, "Dalia N.", 3)], ClosingCode.NO_NOTE),  # the later answer counts
        ([DONE[0], DONE[1]._replace(line=99)], ClosingCode.NOT_ANSWERED),  # of a line that is gone
    ],
)
def test_closing_list_names_each_line_that_is_left(answers, code):
    (problem,) = closing_state(LINES, answers, {}).problems
    assert (problem.code, problem.about) == (code, 2)
    assert "Tools counted, racks full" in problem.sentence


def test_line_not_done_with_a_note_is_passed_on_to_the_next_teacher():
    left = ClosingAnswer(2, False, "Dalia N.", 2, "One marking knife is missing. Drawer 3 stays locked.")
    state = closing_state(LINES, [DONE[0], left], {})
    assert state.complete
    assert state.not_done == ((LINES[1], left),)


def test_closing_list_without_lines_is_never_complete():
    (problem,) = closing_state((), [], {}).problems
    assert problem.code is ClosingCode.NO_LINES
    assert problem.sentence == "The closing list has no lines. Add them in the shop’s settings."
    assert len(STARTER_LINES) == 7


@given(st.data())
def test_complete_closing_list_has_an_answer_by_name_on_every_line(data):
    lines = tuple(ClosingLine(key, f"Line {key}", key == 0) for key in range(data.draw(st.integers(0, 4))))
    words = st.sampled_from(["", " ", "words"])
    answers = data.draw(
        st.lists(
            st.builds(ClosingAnswer, st.integers(0, 4), st.booleans(), words, st.integers(1, 99), words),
            unique_by=lambda a: a.place,
        )
    )
    runs = data.draw(st.sampled_from([{}, {}, {3: "Band saw 3"}]))
    state = closing_state(lines, answers, runs)
    for line in lines:
        given_answers = sorted((answer for answer in answers if answer.line == line.key), key=lambda a: a.place)
        if state.complete:
            assert given_answers[-1].seen_by.strip()
            assert given_answers[-1].done or given_answers[-1].note.strip()
    assert not (state.complete and (runs or not lines))


# Machine time


def test_run_counts_from_the_check_to_standstill():
    run = Run(1, 3, AT - 10 * MINUTE, AT - 8 * MINUTE, AT - 3 * MINUTE)
    assert running_time(run, AT) == 5 * MINUTE
    assert running_time(run._replace(ended_at=None), AT) == 8 * MINUTE
    assert running_time(run._replace(checked_at=None), AT) == timedelta(0)
    assert running_time(run._replace(ended_at=AT - 9 * MINUTE), AT) == timedelta(0)  # the clock was set back


def test_run_across_daylight_saving_has_its_real_length():
    chicago = ZoneInfo("America/Chicago")
    start, end = datetime(2026, 11, 1, 1, 55, tzinfo=chicago), datetime(2026, 11, 1, 1, 5, fold=1, tzinfo=chicago)
    assert running_time(Run(1, 3, start, start, end), AT) == 10 * MINUTE


def test_minutes_are_summed_by_student_and_machine_and_rounded_once():
    half = timedelta(seconds=90)
    runs = [Run(1, 3, AT, AT, AT + half), Run(1, 3, AT, AT, AT + half), Run(2, 3, AT, AT, AT + half)]
    assert minutes_by_student_and_machine(runs, AT) == {(1, 3): 3, (2, 3): 1}
    assert hours(runs, AT) == pytest.approx(0.075)
    assert hours([], AT) == 0
    open_run = Run(2, 4, AT, AT - 30 * MINUTE)
    assert minutes_by_student_and_machine([open_run], AT) == {(2, 4): 30}
    assert hours([open_run], AT) == 0.5


def test_last_use_is_the_last_standstill_of_a_run_that_ran():
    runs = [Run(1, 3, AT, AT, AT + MINUTE), Run(1, 3, AT, AT, AT), Run(2, 3, AT, None, AT), Run(2, 4, AT, AT, None)]
    assert last_use(runs) == {(1, 3): AT + MINUTE}
