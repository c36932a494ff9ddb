"""Groups for the sign-offs of a plan, in an order that respects what each student needs first."""

from collections.abc import Collection
from math import ceil

from machines.planning.facts import GroupChoice
from machines.planning.rules.checks import group_minutes
from machines.planning.rules.plan_pairs import Pair, PlanPairs


def groups_of(chosen: Collection[Pair], pairs: PlanPairs) -> list[GroupChoice]:
    """Return the sign-offs as groups of even size, in order.

    Next comes the group that gives the most students their first new machine a minute, then the most sign-offs a
    minute: if the bell rings early, the most is done.
    """
    waiting = [group for key in pairs.order for group in _split(key, chosen, pairs)]
    ordered: list[GroupChoice] = []
    done: set[Pair] = set()
    while waiting:
        ready = [group for group in waiting if _may_follow(group, done, pairs)]
        best = max(ready, key=lambda group: _worth(group, done, pairs))
        waiting.remove(best)
        ordered.append(best)
        done |= {(student, best.demonstration) for student in best.students}
    return ordered


def fill_in_order(pairs: PlanPairs, minutes: int, fixed: Collection[Pair]) -> frozenset[Pair]:
    """A good choice of sign-offs, made group by group: the answer where the time for the exact search ran out.

    The fixed pairs and what they need come first, whatever they take; the rest fits the minutes.
    """
    chosen: set[Pair] = set()
    for pair in sorted(fixed):
        chosen |= _needed(pair, pairs, chosen)
    left = minutes - minutes_of(chosen, pairs)
    while True:
        groups = [_fullest(key, chosen, pairs, left) for key in pairs.order]
        fitting = [group for group in groups if group.students]
        if not fitting:
            return frozenset(chosen)
        best = max(fitting, key=lambda group: _worth(group, chosen, pairs))
        chosen |= {(student, best.demonstration) for student in best.students}
        left = minutes - minutes_of(chosen, pairs)


def minutes_of(chosen: Collection[Pair], pairs: PlanPairs) -> int:
    groups = [group for key in pairs.order for group in _split(key, chosen, pairs)]
    return sum(group_minutes(pairs.demonstrations[group.demonstration], len(group.students)) for group in groups)


def _split(key: int, chosen: Collection[Pair], pairs: PlanPairs) -> list[GroupChoice]:
    """As few groups as possible, of even size; students who go on to another machine are in the first of them."""
    members = [student for student in pairs.students if (student, key) in chosen]
    if not members:
        return []
    goes_on = {
        student for student, later in chosen if any(key in group for group in pairs.after.get((student, later), ()))
    }
    members.sort(key=lambda student: student not in goes_on)
    count = ceil(len(members) / pairs.demonstrations[key].group_size)
    least, extra = divmod(len(members), count)
    groups, start = [], 0
    for place in range(count):
        end = start + least + (place < extra)
        groups.append(GroupChoice(key, tuple(sorted(members[start:end], key=list(pairs.students).index))))
        start = end
    return groups


def _may_follow(group: GroupChoice, done: Collection[Pair], pairs: PlanPairs) -> bool:
    return all(
        any((student, item) in done for item in needed)
        for student in group.students
        for needed in pairs.after[student, group.demonstration]
    )


def _worth(group: GroupChoice, done: Collection[Pair], pairs: PlanPairs) -> tuple[float, float]:
    minutes = max(group_minutes(pairs.demonstrations[group.demonstration], len(group.students)), 1)
    have = {student for student, _ in done}
    return sum(student not in have for student in group.students) / minutes, len(group.students) / minutes


def _needed(pair: Pair, pairs: PlanPairs, chosen: Collection[Pair]) -> set[Pair]:
    """The pair with what its student needs before it, where that is not chosen yet."""
    student, _ = pair
    needed = {pair}
    for group in pairs.after[pair]:
        if not any((student, item) in chosen for item in group):
            needed |= _needed((student, min(group, key=pairs.order.index)), pairs, {*chosen, *needed})
    return needed


def _fullest(key: int, chosen: Collection[Pair], pairs: PlanPairs, left: int) -> GroupChoice:
    """The largest group that fits the minutes left; empty if none does."""
    ready = [
        student
        for student, _ in pairs.at(key)
        if (student, key) not in chosen and _may_follow(GroupChoice(key, (student,)), chosen, pairs)
    ]
    have = {student for student, _ in chosen}
    ready.sort(key=lambda student: (student in have, pairs.students[student].machines))
    before = minutes_of(chosen, pairs)
    for size in range(min(len(ready), pairs.demonstrations[key].group_size), 0, -1):
        added = {(student, key) for student in ready[:size]}
        if minutes_of({*chosen, *added}, pairs) - before <= left:
            return GroupChoice(key, tuple(ready[:size]))
    return GroupChoice(key, ())
