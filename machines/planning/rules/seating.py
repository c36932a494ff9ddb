"""A rota made seat by seat, the least machine time first: good, not always best, and ready at any moment.

Used only when the time for the exact search ran out before it had any answer.
"""

from machines.planning.facts import RotaFacts, Seat, SeatChoice


def fill_in_order(facts: RotaFacts, fixed: frozenset[Seat], barred: frozenset[Seat]) -> list[SeatChoice]:
    """The fixed seats where helpers can be found, then in each slot the student with the least machine time."""
    seating = _Seating(facts, barred)
    for slot in range(facts.slots):
        for fixed_seat in sorted(seat for seat in fixed if seat.slot == slot):
            seating.seat(fixed_seat)
        while (seat := seating.next_seat(slot)) is not None:
            seating.seat(seat)
    return seating.choices


class _Seating:
    """The seats given so far."""

    def __init__(self, facts: RotaFacts, barred: frozenset[Seat]) -> None:
        self.facts = facts
        self.barred = barred
        self.choices: list[SeatChoice] = []
        self.machines = {machine.key: machine for machine in facts.machines}
        self.minutes = {student.key: student.minutes for student in facts.students}
        self.busy: set[tuple[int, int]] = set()  # (slot, student)
        self.taken: set[tuple[int, int]] = set()  # (slot, machine)

    def next_seat(self, slot: int) -> Seat | None:
        """The free student with the least machine time, at the machine that the fewest students can use."""
        open_machines = [m for m in self.facts.machines if m.runs_in(slot) and (slot, m.key) not in self.taken]
        cleared = {m.key: sum((s.key, m.key) in self.facts.cleared for s in self.facts.students) for m in open_machines}
        for student in sorted(self._free(slot), key=lambda key: self.minutes[key]):
            for machine in sorted(open_machines, key=lambda machine: cleared[machine.key]):
                seat = Seat(slot, machine.key, student)
                if self._may_sit(seat) and self._helpers(seat) is not None:
                    return seat
        return None

    def seat(self, seat: Seat) -> None:
        """Give the seat, if its machine and student are free and its helpers are found."""
        helpers = self._helpers(seat)
        if helpers is None or (seat.slot, seat.student) in self.busy or (seat.slot, seat.machine) in self.taken:
            return
        self.choices.append(SeatChoice(seat, helpers))
        self.taken.add((seat.slot, seat.machine))
        self.busy |= {(seat.slot, key) for key in (seat.student, *helpers)}
        self.minutes[seat.student] += self.facts.slot_minutes

    def _free(self, slot: int) -> list[int]:
        here = [student.key for student in self.facts.students if student.is_here_in(slot)]
        return [key for key in here if (slot, key) not in self.busy]

    def _may_sit(self, seat: Seat) -> bool:
        return (seat.student, seat.machine) in self.facts.cleared and seat not in self.barred

    def _helpers(self, seat: Seat) -> tuple[int, ...] | None:
        """Free students who may help at the machine, those with the most machine time first; None if too few."""
        needed = self.machines[seat.machine].helpers
        free = [
            key for key in self._free(seat.slot) if key != seat.student and (key, seat.machine) in self.facts.may_help
        ]
        free.sort(key=lambda key: -self.minutes[key])
        return tuple(free[:needed]) if len(free) >= needed else None
