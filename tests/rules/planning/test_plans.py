"""The plan of demonstrations: always allowed, the best there is, and plain about why."""

from dataclasses import replace

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from machines.planning.facts import (
    Demonstration,
    DemonstrationPlan,
    GroupChoice,
    PlanFacts,
    PlanMoves,
    PlanStudent,
    ProblemCode,
    Readiness,
)
from machines.planning.rules.checks import check_plan
from machines.planning.rules.plans import make_plan
from tests.rules.planning.cases import best_plan, plan_facts

BAND_SAW = Demonstration(1, "band saw 1", minutes=10)
DRILL_PRESS = Demonstration(2, "drill press 2", minutes=6)
SCROLL_SAW = Demonstration(3, "scroll saw 3", minutes=5, group_size=2)
CLASS = tuple(PlanStudent(key, name) for key, name in enumerate(["Ana B.", "Ben C.", "Cleo D.", "Dov E."]))


def facts(minutes: int, *readiness: Readiness, why_not: dict[tuple[int, int], str] | None = None) -> PlanFacts:
    return PlanFacts(minutes, CLASS, (BAND_SAW, DRILL_PRESS, SCROLL_SAW), readiness, why_not or {})


def score(plan: DemonstrationPlan, of: PlanFacts) -> tuple[int, int, int, int]:
    machines = {student.key: student.machines for student in of.students}
    so_far = sum(machines[student] for line in plan.lines for student in line.students)
    return plan.students, plan.sign_offs, -so_far, -plan.minutes


def groups(plan: DemonstrationPlan) -> list[GroupChoice]:
    return [GroupChoice(line.demonstration, line.students) for line in plan.lines]


# The best plan


@given(plan_facts())
def test_plan_equals_the_best_of_all_plans(case):
    plan = make_plan(case)
    event(f"{plan.sign_offs} sign-offs")
    assert score(plan, case) == best_plan(case)
    assert plan.proof.proven
    assert (plan.proof.gap, plan.proof.more) == (0, 0)


@given(plan_facts())
def test_plan_passes_the_check_for_plans_made_by_hand(case):
    plan = make_plan(case)
    assert plan.problems == ()
    assert check_plan(groups(plan), case) == ()


@given(plan_facts())
def test_plan_names_every_present_student_once_as_planned_or_left_out(case):
    plan = make_plan(case)
    planned = {student for line in plan.lines for student in line.students}
    left_out = [entry.student for entry in plan.left_out]
    assert sorted([*planned, *left_out]) == [student.key for student in case.students if student.here]
    assert all(entry.sentence for entry in plan.left_out)


@given(plan_facts(), st.integers(1, 15))
def test_plan_never_gets_worse_with_more_minutes(case, more):
    longer = replace(case, minutes=case.minutes + more)
    assert score(make_plan(longer), longer)[:2] >= score(make_plan(case), case)[:2]


@given(plan_facts())
def test_plan_out_of_time_is_allowed_and_says_what_may_be_missing(case):
    plan, best = make_plan(case, seconds=0), best_plan(case)
    assert check_plan(groups(plan), case) == ()
    if not plan.proof.proven:
        assert plan.proof.more is not None
        assert plan.students + plan.proof.more >= best[0]


# Moves by hand


@given(plan_facts(), st.data())
def test_plan_keeps_each_allowed_move_and_names_each_other(case, data):
    every = [(student.key, place.key) for student in case.students for place in case.demonstrations]
    fixed = data.draw(st.frozensets(st.sampled_from(every), max_size=3))
    plan = make_plan(case, PlanMoves(fixed=fixed))
    held = {(student, line.demonstration) for line in plan.lines for student in line.students}
    refused = {(problem.student, problem.place) for problem in plan.problems}
    assert fixed - held == {pair for pair in fixed if pair in refused} - held
    assert all(problem.code is ProblemCode.OVER_TIME for problem in check_plan(groups(plan), case))
    assert {line.demonstration for line in plan.lines if line.fixed} == {pair[1] for pair in fixed & held}


@given(plan_facts(), st.data())
def test_plan_never_holds_a_barred_sign_off(case, data):
    every = [(student.key, place.key) for student in case.students for place in case.demonstrations]
    barred = data.draw(st.frozensets(st.sampled_from(every)))
    plan = make_plan(case, PlanMoves(barred=barred))
    assert not barred & {(student, line.demonstration) for line in plan.lines for student in line.students}


def test_plan_adds_the_machine_needed_first_for_a_move_by_hand():
    case = facts(40, Readiness(0, 1), Readiness(0, 2, after=((1,),)))
    plan = make_plan(case, PlanMoves(fixed=frozenset({(0, 2)})))
    assert [line.demonstration for line in plan.lines] == [1, 2]
    assert plan.lines[0].reasons == (
        "First machine for Ana B.",
        "One student can then show drill press 2 today.",
        "Then no one is waiting for band saw 1.",
    )
    assert plan.lines[1].reasons[-1] == "Placed here by the teacher: Ana B."


def test_plan_refuses_a_move_that_clearance_does_not_allow():
    case = facts(40, Readiness(0, 1), why_not={(1, 1): "The band saw quiz is missing."})
    plan = make_plan(case, PlanMoves(fixed=frozenset({(1, 1)})))
    (problem,) = plan.problems
    assert problem.code is ProblemCode.NOT_READY
    assert problem.sentence == "Ben C. is not ready for sign-off on band saw 1. The band saw quiz is missing."
    assert [line.students for line in plan.lines] == [(0,)]


def test_plan_says_so_when_moves_by_hand_take_longer_than_the_period():
    case = facts(12, Readiness(0, 1), Readiness(0, 2), Readiness(1, 3))
    plan = make_plan(case, PlanMoves(fixed=frozenset({(0, 1), (0, 2)})))
    assert [problem.sentence for problem in plan.problems] == ["The plan takes 16 minutes. The period has 12."]
    assert {line.demonstration for line in plan.lines} == {1, 2}


# Words and order


def test_plan_begins_with_the_group_that_gives_most_in_its_minutes():
    case = facts(40, *[Readiness(key, 2) for key in range(4)], Readiness(0, 1))
    plan = make_plan(case)
    assert [line.demonstration for line in plan.lines] == [2, 1]
    assert [line.starts for line in plan.lines] == [0, 6]
    assert plan.minutes == 16


def test_plan_says_how_many_students_are_still_waiting_for_a_machine():
    plan = make_plan(facts(5, *[Readiness(key, 3) for key in range(4)]))
    assert plan.lines[0].reasons[-1] == "Two more students, and no one is waiting for scroll saw 3."
    assert {entry.sentence for entry in plan.left_out} == {"Ready for scroll saw 3, but the minutes are used up."}


def test_plan_says_why_a_student_is_left_out():
    case = facts(40, Readiness(0, 1), Readiness(1, 1))
    plan = make_plan(case, PlanMoves(barred=frozenset({(1, 1)})))
    assert [entry.sentence for entry in plan.left_out] == [
        "Left out by the teacher.",
        "Not ready for any demonstration today.",
        "Not ready for any demonstration today.",
    ]


def test_plan_splits_a_large_class_into_groups_of_even_size():
    students = tuple(PlanStudent(key, f"Student {key}") for key in range(7))
    ready = tuple(Readiness(key, 1) for key in range(7))
    plan = make_plan(PlanFacts(60, students, (BAND_SAW,), ready))
    assert [line.students for line in plan.lines] == [(0, 1, 2, 3), (4, 5, 6)]


def test_plan_takes_students_with_the_fewest_machines_first():
    students = (PlanStudent(0, "Ana B.", machines=3), PlanStudent(1, "Ben C."), PlanStudent(2, "Cleo D.", machines=1))
    plan = make_plan(PlanFacts(5, students, (SCROLL_SAW,), tuple(Readiness(key, 3) for key in range(3))))
    assert [line.students for line in plan.lines] == [(1, 2)]


def test_plan_is_empty_without_students_or_machines():
    plan = make_plan(PlanFacts(40, (), (), ()))
    assert (plan.lines, plan.students, plan.minutes, plan.proof.proven) == ((), 0, 0, True)


def test_plan_refuses_facts_in_which_machines_need_each_other():
    # Each student alone could be planned; together the machines need each other in a circle.
    circle = facts(40, Readiness(0, 1), Readiness(0, 2, ((1,),)), Readiness(1, 2), Readiness(1, 1, ((2,),)))
    with pytest.raises(ValueError, match="circle"):
        make_plan(circle)


# The check of a plan made by hand


@pytest.mark.parametrize(
    ("group", "code", "sentence"),
    [
        (GroupChoice(1, (7,)), ProblemCode.AWAY, "That student is not here."),
        (GroupChoice(9, (0,)), ProblemCode.OUT_OF_SERVICE, "That machine is out of service."),
        (GroupChoice(1, ()), ProblemCode.GROUP_EMPTY, "The group at band saw 1 has no student."),
        (GroupChoice(3, (0, 1, 2)), ProblemCode.GROUP_FULL, "The group at scroll saw 3 has 3 students. 2 at most."),
        (GroupChoice(1, (1, 1)), ProblemCode.TWICE, "Ben C. is at band saw 1 twice."),
        (GroupChoice(2, (0,)), ProblemCode.NEEDS_FIRST, "Ana B. needs band saw 1 before drill press 2."),
        (GroupChoice(2, (3,)), ProblemCode.NOT_READY, "Dov E. is not ready for sign-off on drill press 2."),
    ],
)
def test_check_names_what_is_wrong_with_a_group(group, code, sentence):
    ready = [Readiness(key, place) for key in range(3) for place in (1, 3)]
    (problem,) = check_plan([group], facts(40, Readiness(0, 2, after=((1,),)), *ready))
    assert (problem.code, problem.sentence) == (code, sentence)


def test_check_refuses_the_machine_needed_first_when_it_comes_later():
    case = facts(40, Readiness(0, 1), Readiness(0, 2, after=((1,),)))
    first, second = GroupChoice(1, (0,)), GroupChoice(2, (0,))
    assert check_plan([first, second], case) == ()
    assert [problem.code for problem in check_plan([second, first], case)] == [ProblemCode.NEEDS_FIRST]


def test_check_refuses_a_machine_out_of_service_and_an_absent_student():
    case = facts(40, Readiness(0, 1))
    case = replace(
        case,
        demonstrations=(replace(BAND_SAW, in_service=False), DRILL_PRESS, SCROLL_SAW),
        students=(replace(CLASS[0], here=False), *CLASS[1:]),
    )
    codes = [problem.code for problem in check_plan([GroupChoice(1, (0,))], case)]
    assert codes == [ProblemCode.OUT_OF_SERVICE, ProblemCode.AWAY]
