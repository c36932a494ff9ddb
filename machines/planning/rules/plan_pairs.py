"""Which (student, demonstration) pairs a plan may hold at all, and in which order the demonstrations can follow."""

from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from machines.planning.facts import Demonstration, PlanFacts, PlanStudent

type Pair = tuple[int, int]  # (student, demonstration)


@dataclass(frozen=True, slots=True)
class PlanPairs:
    """`after` holds, for each pair that may be planned, the groups of demonstrations needed before it.

    Only alternatives that may be planned for that student are left in the groups. `order` are the demonstrations, each
    behind everything that any student needs before it.
    """

    demonstrations: dict[int, Demonstration]
    students: dict[int, PlanStudent]
    after: dict[Pair, tuple[tuple[int, ...], ...]]
    order: tuple[int, ...]

    def at(self, demonstration: int) -> list[Pair]:
        return [pair for pair in self.after if pair[1] == demonstration]

    def of(self, student: int) -> list[Pair]:
        return [pair for pair in self.after if pair[0] == student]


def possible_pairs(facts: PlanFacts, barred: frozenset[Pair]) -> PlanPairs:
    """Every pair with a present student, a machine in service, no bar by hand, and its first machines within reach.

    Raises ValueError if demonstrations need each other in a circle; clearance refuses to record such a circle.
    """
    demonstrations = {demonstration.key: demonstration for demonstration in facts.demonstrations}
    students = {student.key: student for student in facts.students}
    conditions = {
        (row.student, row.demonstration): row.after
        for row in facts.readiness
        if row.student in students
        and students[row.student].here
        and row.demonstration in demonstrations
        and demonstrations[row.demonstration].in_service
        and (row.student, row.demonstration) not in barred
    }
    reached = _within_reach(conditions)
    after = {
        (student, key): tuple(tuple(item for item in group if (student, item) in reached) for group in groups)
        for (student, key), groups in conditions.items()
        if (student, key) in reached
    }
    return PlanPairs(demonstrations, students, after, _order(facts, after))


def _within_reach(conditions: dict[Pair, tuple[tuple[int, ...], ...]]) -> set[Pair]:
    """The pairs that can come about: those without a condition, and step by step those that they make possible."""
    reached: set[Pair] = set()
    while True:
        newly_reached = {
            (student, key)
            for (student, key), groups in conditions.items()
            if (student, key) not in reached
            and all(any((student, item) in reached for item in group) for group in groups)
        }
        if not newly_reached:
            return reached
        reached |= newly_reached


def _order(facts: PlanFacts, after: dict[Pair, tuple[tuple[int, ...], ...]]) -> tuple[int, ...]:
    needs: dict[int, set[int]] = {demonstration.key: set() for demonstration in facts.demonstrations}
    for (_, key), groups in after.items():
        needs[key] |= {item for group in groups for item in group}
    try:
        return tuple(TopologicalSorter(needs).static_order())
    except CycleError as error:
        raise ValueError(f"demonstrations need each other in a circle: {error.args[1]}") from error
