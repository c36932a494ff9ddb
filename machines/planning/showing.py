"""A plan and a rotation as their pages show them: with names, and the address that each move by hand leads to."""

from collections.abc import Iterable
from dataclasses import dataclass

from machines.planning.facts import DemonstrationPlan, LeftOut, PlanFacts, PlanLine, Rota, RotaFacts, RotaLine, Seat
from machines.planning.moves import Moves
from shopsafe.language.messages import _


@dataclass(frozen=True)
class MovedName:
    """A student by name, and the page's address without the student there."""

    name: str
    by_hand: bool
    without: str


@dataclass(frozen=True)
class ShownLine:
    """One group: from minute `starts` to minute `ends`, at machine number `place`."""

    place: int
    name: str
    starts: int
    ends: int
    students: list[MovedName]
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """A choice in a list of moves: what is sent, and what is read."""

    value: str
    label: str


@dataclass(frozen=True)
class ShownPlan:
    plan: DemonstrationPlan
    lines: list[ShownLine]
    left_out: list[tuple[str, str]]
    choices: list[Choice]  # students who may be added to a demonstration
    undone: list[tuple[str, str]]  # who was left out by hand, and the address that takes it back


def shown_plan(plan: DemonstrationPlan, facts: PlanFacts, moves: Moves, asked: dict[str, int]) -> ShownPlan:
    names = {student.key: student.name for student in facts.students}
    places = {demonstration.key: demonstration.name for demonstration in facts.demonstrations}

    def line(row: PlanLine) -> ShownLine:
        students = [
            MovedName(names[key], key in row.fixed, moves.address(asked, bar=f"{key}-{row.demonstration}"))
            for key in row.students
        ]
        name = places[row.demonstration]
        return ShownLine(row.demonstration, name, row.starts, row.starts + row.minutes, students, row.reasons)

    planned = {(student, row.demonstration) for row in plan.lines for student in row.students}
    here = {student.key for student in facts.students if student.here}
    ready = [(row.student, row.demonstration) for row in facts.readiness if row.student in here]
    barred = [pair for pair in sorted(moves.for_plan.barred) if pair[0] in names and pair[1] in places]
    return ShownPlan(
        plan=plan,
        lines=[line(row) for row in plan.lines],
        left_out=[(names[row.student], row.sentence) for row in plan.left_out],
        choices=[
            Choice(f"{student}-{place}", f"{names[student]}: {places[place]}")
            for student, place in ready
            if (student, place) not in planned
        ],
        undone=[
            (f"{names[student]}, {places[place]}", moves.address(asked, without=f"{student}-{place}"))
            for student, place in barred
        ],
    )


@dataclass(frozen=True)
class ShownSeat:
    """A student at a machine in a turn. Without a name: why the machine stays empty."""

    student: MovedName | None
    helpers: list[str]
    reasons: tuple[str, ...]
    empty: str = ""


@dataclass(frozen=True)
class ShownRota:
    rota: Rota
    turns: list[tuple[int, int, int]]  # number from 1, first minute, last minute
    rows: list[tuple[str, list[ShownSeat]]]  # a machine, and its seats turn by turn
    left_out: list[tuple[int, list[tuple[str, str]]]]  # turn from 1 → who has no machine, and why
    undone: list[tuple[str, str]]


def shown_rota(rota: Rota, facts: RotaFacts, moves: Moves, asked: dict[str, int]) -> ShownRota:
    names = {student.key: student.name for student in facts.students}
    lines = {(line.seat.machine, line.seat.slot): line for line in rota.lines}
    empty = {(row.machine, row.slot): row.sentence for row in rota.empty}

    def seat(machine: int, slot: int) -> ShownSeat:
        line = lines.get((machine, slot))
        if line is None:
            return ShownSeat(None, [], (), empty.get((machine, slot), ""))
        student = MovedName(names[line.seat.student], line.fixed, moves.address(asked, bar=_word(line.seat)))
        return ShownSeat(student, [names[key] for key in line.helpers], line.reasons)

    turns = range(facts.slots)
    machines = {machine.key: machine.name for machine in facts.machines}
    return ShownRota(
        rota=rota,
        turns=[(slot + 1, slot * facts.slot_minutes, (slot + 1) * facts.slot_minutes) for slot in turns],
        rows=[(machine.name, [seat(machine.key, slot) for slot in turns]) for machine in facts.machines],
        left_out=[(slot + 1, _of_turn(rota.left_out, slot, names)) for slot in turns],
        undone=[
            (
                _(
                    "{student}, {machine}, turn {turn}",
                    student=names[seat.student],
                    machine=machines[seat.machine],
                    turn=seat.slot + 1,
                ),
                moves.address(asked, without=_word(seat)),
            )
            for seat in sorted(moves.for_rota.barred)
            if seat.student in names and seat.machine in machines
        ],
    )


def _of_turn(left_out: Iterable[LeftOut], slot: int, names: dict[int, str]) -> list[tuple[str, str]]:
    return [(names[row.student], row.sentence) for row in left_out if row.slot == slot]


def _word(seat: Seat) -> str:
    return f"{seat.slot}-{seat.machine}-{seat.student}"


def as_json_line(line: RotaLine) -> dict[str, object]:
    seat = line.seat
    return {
        "turn": seat.slot + 1,
        "machine": seat.machine,
        "student": seat.student,
        "helpers": list(line.helpers),
        "reasons": list(line.reasons),
    }
