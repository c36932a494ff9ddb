"""The plan of demonstrations: which groups at which machines, in which order, in the minutes of this period. Exact.

The best plan, in this order:
1. gives the most students a new machine;
2. has the most sign-offs;
3. takes the students with the fewest machines first;
4. takes the fewest minutes.

A student is planned only where sign-offs are all that is missing, and only behind the machines needed first. The plan
signs nothing off: the teacher watches each demonstration, and clearance is asked again at each sign-off.
"""

from dataclasses import replace

from machines.planning.facts import (
    DemonstrationPlan,
    GroupChoice,
    LeftOut,
    MoveProblem,
    PlanFacts,
    PlanLine,
    PlanMoves,
    PlanStudent,
    ProblemCode,
    Proof,
)
from machines.planning.rules import wording
from machines.planning.rules.checks import check_plan, group_minutes
from machines.planning.rules.plan_groups import fill_in_order, groups_of
from machines.planning.rules.plan_pairs import PlanPairs, possible_pairs
from machines.planning.rules.plan_program import PlanProgram
from machines.planning.rules.program import Solution
from shopsafe.language.lists import listed
from shopsafe.language.messages import _

SECONDS = 1.5  # for the whole search: a teacher waits for the page
FIRST_SHARE = 0.6  # of the seconds: for the students and sign-offs; the rest for whose turn it is


def make_plan(facts: PlanFacts, moves: PlanMoves | None = None, seconds: float = SECONDS) -> DemonstrationPlan:
    """Return the best plan. Moves by hand stay where clearance allows them; the others are named as problems.

    If the moves by hand alone need more than the period has, the plan holds them, nothing else, and says so.
    """
    moves = moves or PlanMoves()
    pairs = possible_pairs(facts, moves.barred - moves.fixed)
    fixed = moves.fixed & pairs.after.keys()
    program = PlanProgram(pairs, facts.minutes, fixed)
    first = program.solve_students(seconds * FIRST_SHARE)
    second: Solution | None = None
    if not first.feasible:
        first = program.solve_shortest(seconds * FIRST_SHARE)
    elif first.values is not None:
        second = program.solve_order(first, seconds * (1 - FIRST_SHARE))
    values = (second.values if second else None) or first.values
    chosen = fill_in_order(pairs, facts.minutes, fixed) if values is None else program.chosen(values)
    groups = groups_of(chosen, pairs)
    problems = (*_refused(facts, moves, pairs), *check_plan(groups, facts))
    proof = _proof(program, first, second, len({student for student, _ in chosen}))
    return _described(facts, groups, pairs, moves, problems, proof)


def _refused(facts: PlanFacts, moves: PlanMoves, pairs: PlanPairs) -> list[MoveProblem]:
    """The moves by hand that may not be made, each with what speaks against it."""
    return [
        replace(problem, student=student, place=place)
        for student, place in sorted(moves.fixed - pairs.after.keys())
        for problem in check_plan([GroupChoice(place, (student,))], facts)
        if problem.code is not ProblemCode.OVER_TIME
    ]


def _proof(program: PlanProgram, first: Solution, second: Solution | None, reached: int) -> Proof:
    extra_students = program.more_students(first, reached)
    return wording.plan_proof(first.proven, second is None or second.proven, program.gap(first), extra_students)


# --- the answer with its reasons --------------------------------------------------------------------------------


def _described(
    facts: PlanFacts,
    groups: list[GroupChoice],
    pairs: PlanPairs,
    moves: PlanMoves,
    problems: tuple[MoveProblem, ...],
    proof: Proof,
) -> DemonstrationPlan:
    lines, starts = [], 0
    for place, group in enumerate(groups):
        minutes = group_minutes(pairs.demonstrations[group.demonstration], len(group.students))
        by_hand = frozenset(key for key in group.students if (key, group.demonstration) in moves.fixed)
        reasons = _reasons(groups, place, pairs, by_hand)
        lines.append(PlanLine(group.demonstration, group.students, starts, minutes, reasons, by_hand))
        starts += minutes
    planned = {student for group in groups for student in group.students}
    return DemonstrationPlan(
        lines=tuple(lines),
        students=len(planned),
        sign_offs=sum(len(group.students) for group in groups),
        minutes=starts,
        left_out=tuple(
            LeftOut(student.key, _why_left_out(student, facts, pairs, moves))
            for student in facts.students
            if student.here and student.key not in planned
        ),
        problems=problems,
        proof=proof,
    )


def _reasons(groups: list[GroupChoice], place: int, pairs: PlanPairs, by_hand: frozenset[int]) -> tuple[str, ...]:
    group, later = groups[place], groups[place + 1 :]
    demonstration = pairs.demonstrations[group.demonstration]
    earlier = {student for before in groups[:place] for student in before.students}
    firsts = [key for key in group.students if pairs.students[key].machines == 0 and key not in earlier]
    reasons = [wording.first_machines(_names(firsts, pairs))] if firsts else []
    for key, count in _goes_on(group, later, pairs).items():
        reasons.append(wording.opens(pairs.demonstrations[key].name, count))
    if all(other.demonstration != group.demonstration for other in later):
        same = [other for other in groups if other.demonstration == demonstration.key]
        left = len(pairs.at(demonstration.key)) - sum(len(other.students) for other in same)
        reasons.append(wording.still_waiting(demonstration.name, left))
    if by_hand:
        reasons.append(wording.set_by_hand(_names(sorted(by_hand), pairs)))
    return tuple(reasons)


def _goes_on(group: GroupChoice, later: list[GroupChoice], pairs: PlanPairs) -> dict[int, int]:
    """Demonstration → how many of the group go on to it in this plan because of this one."""
    counts: dict[int, int] = {}
    for other in later:
        for student in set(group.students) & set(other.students):
            if any(group.demonstration in needed for needed in pairs.after[student, other.demonstration]):
                counts[other.demonstration] = counts.get(other.demonstration, 0) + 1
    return counts


def _why_left_out(student: PlanStudent, facts: PlanFacts, pairs: PlanPairs, moves: PlanMoves) -> str:
    possible = [pairs.demonstrations[key].name for _, key in pairs.of(student.key)]
    if possible:
        return _(wording.NO_TIME, places=listed(possible))
    ready = {(row.student, row.demonstration) for row in facts.readiness}
    if any(pair in moves.barred for pair in ready if pair[0] == student.key):
        return _(wording.LEFT_OUT_BY_HAND)
    return _(wording.NOT_READY)


def _names(keys: list[int], pairs: PlanPairs) -> list[str]:
    return [pairs.students[key].name for key in keys]
