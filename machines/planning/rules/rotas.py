"""The rota: which student works at which machine in which slot of the period. Exact, and fair over the term.

The best rota, in this order:
1. has as many turns at machines as possible;
2. gives the least machine time first: each turn costs the machine time that its student has before it, and the sum of
   these costs is as small as possible;
3. sends students to the machines where they have worked least, and shares out the helping: a turn costs the time that
   its student has at that machine before it, and helping costs the slots in which the student has helped before.

A student works only where cleared, at a machine in service, alone, and in one place at a time. A machine that asks for
helpers runs only with them, and they have no other place in that slot.
"""

from machines.planning.facts import (
    EmptyMachine,
    LeftOut,
    MoveProblem,
    ProblemCode,
    Proof,
    Rota,
    RotaFacts,
    RotaLine,
    RotaMachine,
    RotaMoves,
    RotaStudent,
    Seat,
    SeatChoice,
)
from machines.planning.rules import wording
from machines.planning.rules.checks import seat_problems
from machines.planning.rules.rota_program import RotaProgram
from machines.planning.rules.seating import fill_in_order
from shopsafe.language.messages import _

SECONDS = 1.5  # for the whole search: a teacher waits for the page
FIRST_SHARE = 0.6  # of the seconds: for the turns and their fairness; the rest for the choice of machines


def make_rota(facts: RotaFacts, moves: RotaMoves | None = None, seconds: float = SECONDS) -> Rota:
    """Return the best rota. Seats set by hand stay where clearance allows them; the others are named as problems."""
    moves = moves or RotaMoves()
    fixed, problems = usable_seats(facts, moves)
    barred = moves.barred - moves.fixed
    rota = RotaProgram(facts, barred)
    first = rota.solve_turns(fixed, seconds * FIRST_SHARE)
    if not first.feasible:
        kept = rota.solve_fixed(fixed, seconds * FIRST_SHARE)
        problems += [_without_helper(facts, seat) for seat in sorted(fixed - kept)]
        fixed = kept
        first = rota.solve_turns(fixed, seconds * FIRST_SHARE)
    if first.values is None:
        choices = fill_in_order(facts, fixed, barred)
        problems += [_without_helper(facts, seat) for seat in sorted(fixed - {choice.seat for choice in choices})]
        proven = False
    else:
        second = rota.solve_machines(first, seconds * (1 - FIRST_SHARE))
        choices = rota.choices(second.values or first.values)
        proven = second.proven
    proof = wording.rota_proof(first.proven, proven, rota.gap(first), rota.more_turns(first, len(choices)))
    # Of two seats set by hand that exclude each other, the second may come out best once the first proves impossible.
    assigned = {(choice.seat.slot, choice.seat.machine, choice.seat.student) for choice in choices}
    open_problems = tuple(p for p in problems if (p.slot, p.place, p.student) not in assigned)
    return _described(facts, choices, moves, open_problems, proof)


def usable_seats(facts: RotaFacts, moves: RotaMoves) -> tuple[frozenset[Seat], list[MoveProblem]]:
    """The seats set by hand that may be given, and the problems of the others, the earliest slot first."""
    machines = {machine.key: machine for machine in facts.machines}
    students = {student.key: student for student in facts.students}
    kept: set[Seat] = set()
    problems: list[MoveProblem] = []
    for seat in sorted(moves.fixed):
        against = seat_problems(seat, facts, machines, students)
        if not against and any((other.slot, other.machine) == (seat.slot, seat.machine) for other in kept):
            against = [_clash(ProblemCode.TAKEN, seat, machines[seat.machine].name)]
        if not against and any((other.slot, other.student) == (seat.slot, seat.student) for other in kept):
            against = [_clash(ProblemCode.TWO_PLACES, seat, students[seat.student].name)]
        problems += against
        if not against:
            kept.add(seat)
    return frozenset(kept), problems


def _clash(code: ProblemCode, seat: Seat, name: str) -> MoveProblem:
    sentence = wording.problem(code, place=name, student=name, slot=seat.slot + 1)
    return MoveProblem(code, sentence, seat.student, seat.machine, seat.slot)


def _without_helper(facts: RotaFacts, seat: Seat) -> MoveProblem:
    machine = next(machine for machine in facts.machines if machine.key == seat.machine)
    helpers = wording.helpers(machine.helpers)
    sentence = wording.problem(ProblemCode.NO_HELPER, place=machine.name, slot=seat.slot + 1, helpers=helpers)
    return MoveProblem(ProblemCode.NO_HELPER, sentence, seat.student, seat.machine, seat.slot)


# --- the answer with its reasons --------------------------------------------------------------------------------


def _described(
    facts: RotaFacts, choices: list[SeatChoice], moves: RotaMoves, problems: tuple[MoveProblem, ...], proof: Proof
) -> Rota:
    order = {machine.key: place for place, machine in enumerate(facts.machines)}
    choices = sorted(choices, key=lambda choice: (choice.seat.slot, order[choice.seat.machine]))
    return Rota(
        lines=tuple(
            _line(facts, choice, choices[:place], choice.seat in moves.fixed) for place, choice in enumerate(choices)
        ),
        left_out=_left_out(facts, choices),
        empty=_empty(facts, choices),
        problems=problems,
        proof=proof,
    )


def _line(facts: RotaFacts, choice: SeatChoice, earlier: list[SeatChoice], fixed: bool) -> RotaLine:
    students = {student.key: student for student in facts.students}
    machine = next(machine for machine in facts.machines if machine.key == choice.seat.machine)
    student = students[choice.seat.student]
    own = [other.seat for other in earlier if other.seat.student == student.key]
    times = [other.minutes for other in facts.students if other.here]
    reasons = [_(wording.PLACED)] if fixed else []
    reasons.append(wording.machine_time(student.minutes + len(own) * facts.slot_minutes, min(times), max(times)))
    if not facts.minutes_at.get((student.key, machine.key)) and all(seat.machine != machine.key for seat in own):
        reasons.append(_(wording.FIRST_TIME, place=machine.name))
    if choice.helpers:
        reasons.append(wording.helped_by([students[key].name for key in choice.helpers]))
    return RotaLine(choice.seat, choice.helpers, tuple(reasons), fixed)


def _left_out(facts: RotaFacts, choices: list[SeatChoice]) -> tuple[LeftOut, ...]:
    """Every student who is here and has no machine in a slot, helpers included, with the reason."""
    seated = {(choice.seat.slot, choice.seat.student) for choice in choices}
    names = {machine.key: machine.name for machine in facts.machines}
    helping = {(choice.seat.slot, key): names[choice.seat.machine] for choice in choices for key in choice.helpers}
    waiting = [
        (slot, student)
        for slot in range(facts.slots)
        for student in facts.students
        if student.is_here_in(slot) and (slot, student.key) not in seated
    ]
    return tuple(LeftOut(student.key, _why_waiting(facts, slot, student, helping), slot) for slot, student in waiting)


def _why_waiting(facts: RotaFacts, slot: int, student: RotaStudent, helping: dict[tuple[int, int], str]) -> str:
    if (place := helping.get((slot, student.key))) is not None:
        return _(wording.HELPS, place=place)
    running = [machine for machine in facts.machines if machine.runs_in(slot)]
    if not any((student.key, machine.key) in facts.cleared for machine in running):
        return _(wording.NO_MACHINE_CLEARED)
    return wording.every_machine_taken(student.minutes)


def _empty(facts: RotaFacts, choices: list[SeatChoice]) -> tuple[EmptyMachine, ...]:
    taken = {(choice.seat.slot, choice.seat.machine) for choice in choices}
    return tuple(
        EmptyMachine(slot, machine.key, _why_empty(facts, slot, machine, choices))
        for slot in range(facts.slots)
        for machine in facts.machines
        if (slot, machine.key) not in taken
    )


def _why_empty(facts: RotaFacts, slot: int, machine: RotaMachine, choices: list[SeatChoice]) -> str:
    if not machine.runs_in(slot):
        return _(wording.OUT_OF_SERVICE)
    here = {student.key for student in facts.students if student.is_here_in(slot)}
    cleared = {key for key in here if (key, machine.key) in facts.cleared}
    if not cleared:
        return _(wording.NO_STUDENT)
    placed = {key for choice in choices if choice.seat.slot == slot for key in (choice.seat.student, *choice.helpers)}
    if cleared <= placed:
        return _(wording.ALL_ELSEWHERE)
    return wording.no_helper(machine.helpers) if machine.helpers else _(wording.LEFT_EMPTY_BY_HAND)
