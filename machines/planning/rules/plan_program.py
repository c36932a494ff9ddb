"""The plan as an integer program: variables for possible sign-offs, for groups, and for students with a new machine."""

from math import ceil

from machines.planning.rules.plan_pairs import Pair, PlanPairs
from machines.planning.rules.program import Program, Solution


class PlanProgram:
    """`sign_offs`, `groups` (how many at each demonstration) and `gains` (a student has a new machine) are variables.

    `overtime` is closed but for moves by hand that alone take longer than the period.
    """

    def __init__(self, pairs: PlanPairs, minutes: int, fixed: frozenset[Pair]) -> None:
        self.pairs = pairs
        self.minutes = minutes
        self.program = Program()
        self.overtime = self.program.variable(upper=0)
        self.sign_offs = {pair: self.program.variable(lower=float(pair in fixed)) for pair in pairs.after}
        self.groups: dict[int, int] = {}
        self.gains: dict[int, int] = {}
        for key in pairs.order:
            if candidates := len(pairs.at(key)):
                most = ceil(candidates / pairs.demonstrations[key].group_size)
                self.groups[key] = self.program.variable(upper=most)
        self._limit_groups()
        self._limit_students()

    def _limit_groups(self) -> None:
        for key, groups in self.groups.items():
            members = [self.sign_offs[pair] for pair in self.pairs.at(key)]
            size = float(self.pairs.demonstrations[key].group_size)
            self.program.limit(dict.fromkeys(members, 1.0) | {groups: -size}, most=0)
            for member in members:  # true anyway for whole numbers, and it makes the search short
                self.program.limit({member: 1.0, groups: -1.0}, most=0)
        self.program.limit(self.minute_terms() | {self.overtime: -1.0}, most=self.minutes)

    def _limit_students(self) -> None:
        for (student, key), groups in self.pairs.after.items():
            variable = self.sign_offs[student, key]
            for group in groups:
                terms = {self.sign_offs[student, item]: -1.0 for item in group}
                self.program.limit(terms | {variable: 1.0}, most=0)
        for student in self.pairs.students:
            if own := [self.sign_offs[pair] for pair in self.pairs.of(student)]:
                self.gains[student] = gain = self.program.variable()
                self.program.limit(dict.fromkeys(own, -1.0) | {gain: 1.0}, most=0)

    def minute_terms(self) -> dict[int, float]:
        terms = {groups: float(self.pairs.demonstrations[key].minutes) for key, groups in self.groups.items()}
        return terms | {
            variable: float(self.pairs.demonstrations[key].minutes_each)
            for (_, key), variable in self.sign_offs.items()
        }

    # --- goals ---

    @property
    def worth(self) -> int:
        """The worth of one more student with a new machine: above all sign-offs together."""
        return 1 + len(self.sign_offs)

    def solve_students(self, seconds: float) -> Solution:
        """Most students with a new machine, then most sign-offs."""
        goal = dict.fromkeys(self.sign_offs.values(), 1) | dict.fromkeys(self.gains.values(), self.worth)
        return self.program.solve(goal, seconds)

    def solve_order(self, first: Solution, seconds: float) -> Solution:
        """With as many of both: the students with the fewest machines first, then the fewest minutes."""
        values = first.values or ()
        for variables in (self.sign_offs.values(), self.gains.values()):
            self.program.limit(dict.fromkeys(variables, 1.0), least=sum(values[variable] for variable in variables))
        minutes = self.minute_terms()
        students = self.pairs.students
        worth = self.minutes + 1
        goal = {variable: -students[pair[0]].machines * worth for pair, variable in self.sign_offs.items()}
        for variable, count in minutes.items():
            goal[variable] = goal.get(variable, 0) - int(count)
        return self.program.solve(goal, seconds)

    def solve_shortest(self, seconds: float) -> Solution:
        """The fewest minutes that the moves by hand take, whatever the period has."""
        self.program.upper[self.overtime] = float("inf")
        return self.program.solve({variable: -int(count) for variable, count in self.minute_terms().items()}, seconds)

    # --- answers ---

    def chosen(self, values: tuple[int, ...]) -> frozenset[Pair]:
        return frozenset(pair for pair, variable in self.sign_offs.items() if values[variable])

    def more_students(self, first: Solution, reached: int) -> int:
        """How many more students could get a new machine at most."""
        by_count = len(self.gains) - reached
        if first.bound is None:
            return by_count
        return max(0, min(by_count, int((first.bound + 1e-6) // self.worth) - reached))

    def gap(self, first: Solution) -> float | None:
        if first.values is None or first.bound is None:
            return None
        students = sum(first.values[variable] for variable in self.gains.values())
        value = students * self.worth + sum(first.values[variable] for variable in self.sign_offs.values())
        return max(0.0, first.bound - value) / max(value, 1)
