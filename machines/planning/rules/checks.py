"""Checks of a plan or a rota, line by line, whether the rule or a teacher made the lines.

Nothing passes that clearance does not allow at this moment, whatever a teacher moved.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from machines.planning.facts import (
    Demonstration,
    GroupChoice,
    MoveProblem,
    PlanFacts,
    PlanStudent,
    ProblemCode,
    RotaFacts,
    RotaMachine,
    RotaStudent,
    Seat,
    SeatChoice,
)
from machines.planning.rules import wording
from shopsafe.language.lists import alternatives
from shopsafe.language.messages import _

# --- the plan ---------------------------------------------------------------------------------------------------


def check_plan(groups: Sequence[GroupChoice], facts: PlanFacts) -> tuple[MoveProblem, ...]:
    """Everything wrong with the groups in this order; empty for a plan that may be carried out."""
    demonstrations = {demonstration.key: demonstration for demonstration in facts.demonstrations}
    students = {student.key: student for student in facts.students}
    ready = {(row.student, row.demonstration): row.after for row in facts.readiness}
    signed_off: dict[int, set[int]] = {}
    problems: list[MoveProblem] = []
    for group in groups:
        demonstration = demonstrations.get(group.demonstration)
        if demonstration is None:
            problems.append(_problem(ProblemCode.OUT_OF_SERVICE, place=(_("That machine"), group.demonstration)))
            continue
        problems += _group_problems(group, demonstration)
        for key in group.students:
            done = signed_off.setdefault(key, set())
            pair = (key, demonstration.key)
            problems += _plan_problems(
                students.get(key), key, demonstration, ready.get(pair), done, demonstrations, facts.why_not.get(pair)
            )
            done.add(demonstration.key)
    minutes = plan_minutes(groups, demonstrations)
    if minutes > facts.minutes:
        problems.append(_problem(ProblemCode.OVER_TIME, count=minutes, most=facts.minutes))
    return tuple(problems)


def plan_minutes(groups: Iterable[GroupChoice], demonstrations: Mapping[int, Demonstration]) -> int:
    """The minutes that the groups take, one after the other."""
    known = [group for group in groups if group.demonstration in demonstrations]
    return sum(group_minutes(demonstrations[group.demonstration], len(group.students)) for group in known)


def group_minutes(demonstration: Demonstration, size: int) -> int:
    return demonstration.minutes + demonstration.minutes_each * size


def _group_problems(group: GroupChoice, demonstration: Demonstration) -> list[MoveProblem]:
    place = (demonstration.name, demonstration.key)
    problems = []
    if not demonstration.in_service:
        problems.append(_problem(ProblemCode.OUT_OF_SERVICE, place=place))
    size, most = len(group.students), demonstration.group_size
    if size > most:
        problems.append(_problem(ProblemCode.GROUP_FULL, place=place, count=size, most=most))
    if not size:
        problems.append(_problem(ProblemCode.GROUP_EMPTY, place=place))
    return problems


def _plan_problems(
    student: PlanStudent | None,
    key: int,
    demonstration: Demonstration,
    after: tuple[tuple[int, ...], ...] | None,
    done: set[int],
    demonstrations: Mapping[int, Demonstration],
    why: str | None,
) -> list[MoveProblem]:
    """What speaks against one student in one group; `done` are the student's sign-offs earlier in the plan."""
    who = (student.name if student else _("That student"), key)
    place = (demonstration.name, demonstration.key)
    if student is None or not student.here:
        return [_problem(ProblemCode.AWAY, student=who, place=place)]
    if demonstration.key in done:
        return [_problem(ProblemCode.TWICE, student=who, place=place)]
    if after is None:
        return [_problem(ProblemCode.NOT_READY, student=who, place=place, why=why or "")]
    missing = next((group for group in after if not done & set(group)), None)
    if missing is None:
        return []
    names = [demonstrations[item].name for item in missing if item in demonstrations]
    first = alternatives(names) or _("another machine")
    return [_problem(ProblemCode.NEEDS_FIRST, student=who, place=place, first=first)]


# --- the rota ---------------------------------------------------------------------------------------------------


def check_rota(choices: Sequence[SeatChoice], facts: RotaFacts) -> tuple[MoveProblem, ...]:
    """Everything wrong with the seats; empty for a rota that may be carried out."""
    machines = {machine.key: machine for machine in facts.machines}
    students = {student.key: student for student in facts.students}
    problems: list[MoveProblem] = []
    for choice in choices:
        seat = choice.seat
        problems += seat_problems(seat, facts, machines, students)
        problems += _helper_problems(choice, facts, machines, students)
    problems += _double_problems(choices, machines, students)
    return tuple(problems)


def seat_problems(
    seat: Seat,
    facts: RotaFacts,
    machines: Mapping[int, RotaMachine],
    students: Mapping[int, RotaStudent],
) -> list[MoveProblem]:
    """What speaks against one seat by itself: the slot, the machine's service, the student's presence and clearance."""
    machine, student = machines.get(seat.machine), students.get(seat.student)
    place, who = _named(machine, _("That machine"), seat.machine), _named(student, _("That student"), seat.student)
    shown = seat.slot + 1
    if not 0 <= seat.slot < facts.slots:
        return [_problem(ProblemCode.NO_SUCH_SLOT, student=who, place=place, slot=shown)]
    problems = []
    if machine is None or not machine.runs_in(seat.slot):
        problems.append(_problem(ProblemCode.OUT_OF_SERVICE, student=who, place=place, slot=shown))
    if student is None or not student.is_here_in(seat.slot):
        problems.append(_problem(ProblemCode.AWAY, student=who, place=place, slot=shown))
    pair = (seat.student, seat.machine)
    if pair not in facts.cleared:
        why = facts.why_not.get(pair, "")
        problems.append(_problem(ProblemCode.NOT_CLEARED, student=who, place=place, slot=shown, why=why))
    return problems


def _helper_problems(
    choice: SeatChoice,
    facts: RotaFacts,
    machines: Mapping[int, RotaMachine],
    students: Mapping[int, RotaStudent],
) -> list[MoveProblem]:
    seat, machine = choice.seat, machines.get(choice.seat.machine)
    place, shown = _named(machine, _("That machine"), seat.machine), seat.slot + 1
    problems = []
    for key in choice.helpers:
        student = students.get(key)
        who = _named(student, _("That student"), key)
        if student is None or not student.is_here_in(seat.slot):
            problems.append(_problem(ProblemCode.AWAY, student=who, place=place, slot=shown))
        elif (key, seat.machine) not in facts.may_help:
            problems.append(_problem(ProblemCode.HELPER_NOT_CLEARED, student=who, place=place, slot=shown, why=""))
    if machine is not None and len(set(choice.helpers)) < machine.helpers:
        helpers = wording.helpers(machine.helpers)
        problems.append(_problem(ProblemCode.NO_HELPER, place=place, slot=shown, helpers=helpers))
    return problems


def _double_problems(
    choices: Sequence[SeatChoice],
    machines: Mapping[int, RotaMachine],
    students: Mapping[int, RotaStudent],
) -> list[MoveProblem]:
    """A machine with two students in a slot, or a student with two places in a slot."""
    at_machine = Counter((choice.seat.slot, choice.seat.machine) for choice in choices)
    places = Counter(
        (choice.seat.slot, student) for choice in choices for student in (choice.seat.student, *choice.helpers)
    )
    taken = [
        _problem(ProblemCode.TAKEN, place=_named(machines.get(machine), _("That machine"), machine), slot=slot + 1)
        for (slot, machine), count in at_machine.items()
        if count > 1
    ]
    return taken + [
        _problem(ProblemCode.TWO_PLACES, student=_named(students.get(key), _("That student"), key), slot=slot + 1)
        for (slot, key), count in places.items()
        if count > 1
    ]


def _named(row: RotaMachine | RotaStudent | None, otherwise: str, key: int) -> tuple[str, int]:
    return (row.name if row else otherwise), key


def _problem(
    code: ProblemCode,
    *,
    student: tuple[str, int] | None = None,
    place: tuple[str, int] | None = None,
    slot: int | None = None,
    **parts: object,
) -> MoveProblem:
    """`student` and `place` are (name, key); `slot` is counted from 1 here, as people read it."""
    sentence = wording.problem(
        code, student=student[0] if student else "", place=place[0] if place else "", slot=slot, **parts
    )
    return MoveProblem(
        code,
        sentence,
        student[1] if student else None,
        place[1] if place else None,
        None if slot is None else slot - 1,
    )
