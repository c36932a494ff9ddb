"""The rota as an integer program: variables for possible seats, possible helpers and each turn of a student."""

from collections.abc import Callable

from machines.planning.facts import RotaFacts, Seat, SeatChoice
from machines.planning.rules.program import Program, Solution


class RotaProgram:
    """`seats` and `helpers` say which variable is which; `turns` are a student's first, second, third turn today."""

    def __init__(self, facts: RotaFacts, barred: frozenset[Seat]) -> None:
        self.facts = facts
        self.program = Program()
        self.seats: dict[Seat, int] = {}
        self.helpers: dict[Seat, int] = {}
        self.turns: dict[tuple[int, int], int] = {}
        self._add_seats(barred)
        self._limit_machines()
        self._limit_students()

    def _add_seats(self, barred: frozenset[Seat]) -> None:
        for slot in range(self.facts.slots):
            here = [student.key for student in self.facts.students if student.is_here_in(slot)]
            for machine in self.facts.machines:
                if not machine.runs_in(slot):
                    continue
                for student in here:
                    seat = Seat(slot, machine.key, student)
                    if (student, machine.key) in self.facts.cleared and seat not in barred:
                        self.seats[seat] = self.program.variable()
                    if machine.helpers and (student, machine.key) in self.facts.may_help:
                        self.helpers[seat] = self.program.variable()

    def _limit_machines(self) -> None:
        """One student at each machine, and at each run as many helpers as the machine type asks for."""
        needs = {machine.key: machine.helpers for machine in self.facts.machines}
        at_machine = _grouped(self.seats, lambda seat: (seat.slot, seat.machine))
        helping = _grouped(self.helpers, lambda seat: (seat.slot, seat.machine))
        for place, variables in at_machine.items():
            self.program.limit(dict.fromkeys(variables, 1.0), most=1)
            if needs[place[1]]:
                terms = dict.fromkeys(helping.get(place, ()), 1.0)
                terms |= dict.fromkeys(variables, -float(needs[place[1]]))
                self.program.limit(terms, least=0, most=0)
        for place in helping.keys() - at_machine.keys():
            self.program.limit(dict.fromkeys(helping[place], 1.0), most=0)

    def _limit_students(self) -> None:
        """One place at a time. The turns of a student are counted one by one, so that each can have its cost."""
        everywhere = _grouped(self.seats, lambda seat: (seat.slot, seat.student))
        for place, variables in _grouped(self.helpers, lambda seat: (seat.slot, seat.student)).items():
            everywhere[place] = everywhere.get(place, []) + variables
        for variables in everywhere.values():
            self.program.limit(dict.fromkeys(variables, 1.0), most=1)
        for student, variables in _grouped(self.seats, lambda seat: seat.student).items():
            terms = dict.fromkeys(variables, 1.0)
            for nth in range(min(self.facts.slots, len(variables))):
                self.turns[student, nth] = variable = self.program.variable()
                terms[variable] = -1.0
            self.program.limit(terms, least=0, most=0)

    # --- goals ---

    def costs(self) -> dict[int, int]:
        """The cost of each turn: the machine time before it, above the least that any student has."""
        so_far = {student.key: student.minutes for student in self.facts.students}
        least = min((so_far[student] for student, _ in self.turns), default=0)
        length = self.facts.slot_minutes
        return {variable: so_far[student] - least + nth * length for (student, nth), variable in self.turns.items()}

    def most_turns(self) -> int:
        return len({(seat.slot, seat.machine) for seat in self.seats})

    def worth(self) -> int:
        """The worth of one more turn: above any difference in fairness."""
        return 1 + self.most_turns() * max(self.costs().values(), default=0)

    def solve_turns(self, fixed: frozenset[Seat], seconds: float) -> Solution:
        """Most turns first, then the least machine time first."""
        self._fix(fixed)
        worth = self.worth()
        return self.program.solve({variable: worth - cost for variable, cost in self.costs().items()}, seconds)

    def solve_fixed(self, fixed: frozenset[Seat], seconds: float) -> frozenset[Seat]:
        """As many of the fixed seats as have helpers."""
        self._fix(frozenset())
        values = self.program.solve({self.seats[seat]: 1 for seat in fixed}, seconds).values
        return frozenset(seat for seat in fixed if values is not None and values[self.seats[seat]])

    def solve_machines(self, first: Solution, seconds: float) -> Solution:
        """With as many turns, shared as fairly as in `first`: to the machines where each student has worked least."""
        values, costs = first.values or (), self.costs()
        self.program.limit(dict.fromkeys(costs, 1.0), least=sum(values[variable] for variable in costs))
        self.program.limit(
            {variable: float(cost) for variable, cost in costs.items()},
            most=sum(cost * values[variable] for variable, cost in costs.items()),
        )
        minutes = self.facts.minutes_at
        goal = {variable: -minutes.get((seat.student, seat.machine), 0) for seat, variable in self.seats.items()}
        for variables in _grouped(self.seats, lambda seat: (seat.student, seat.machine)).values():
            goal |= self._repeat_cost(variables)
        for variables in _grouped(self.helpers, lambda seat: seat.student).values():
            goal |= self._repeat_cost(variables)
        return self.program.solve(goal, seconds)

    def _repeat_cost(self, variables: list[int]) -> dict[int, int]:
        """The second time costs the minutes of one slot, the third those of two, and so on."""
        repeats = [self.program.variable() for _ in variables[1:]]
        if repeats:
            self.program.limit(dict.fromkeys(variables, 1.0) | dict.fromkeys(repeats, -1.0), most=1)
        return {variable: -nth * self.facts.slot_minutes for nth, variable in enumerate(repeats, start=1)}

    def _fix(self, fixed: frozenset[Seat]) -> None:
        for seat, variable in self.seats.items():
            self.program.lower[variable] = float(seat in fixed)

    # --- answers ---

    def choices(self, values: tuple[int, ...]) -> list[SeatChoice]:
        helpers: dict[tuple[int, int], list[int]] = {}
        for seat, variable in self.helpers.items():
            if values[variable]:
                helpers.setdefault((seat.slot, seat.machine), []).append(seat.student)
        chosen = [seat for seat, variable in self.seats.items() if values[variable]]
        return [SeatChoice(seat, tuple(helpers.get((seat.slot, seat.machine), ()))) for seat in chosen]

    def gap(self, first: Solution) -> float | None:
        """How far the bound is above the value reached, as a share of it."""
        if first.values is None or first.bound is None:
            return None
        worth = self.worth()
        value = sum((worth - cost) * first.values[variable] for variable, cost in self.costs().items())
        return max(0.0, first.bound - value) / max(value, 1)

    def more_turns(self, first: Solution, filled: int) -> int:
        """How many more turns there could be at most."""
        by_count = self.most_turns() - filled
        if first.bound is None:
            return by_count
        # n turns are worth more than n - 1 times the worth of one, so the bound allows for no more than these.
        return max(0, min(by_count, int(first.bound // self.worth()) + 1 - filled))


def _grouped[K](variables: dict[Seat, int], key: Callable[[Seat], K]) -> dict[K, list[int]]:
    groups: dict[K, list[int]] = {}
    for seat, variable in variables.items():
        groups.setdefault(key(seat), []).append(variable)
    return groups
