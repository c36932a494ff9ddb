"""The waiting list of a machine: in the order of joining. A student who can't go now keeps the place."""

from collections.abc import Iterable, Mapping

from machines.floor.facts import WaitingEntry, WaitingPlace


def waiting_order(
    entries: Iterable[WaitingEntry], machine: int, blocked: Mapping[int, str] | None = None
) -> tuple[WaitingPlace, ...]:
    """The list of one machine. `blocked`: student → why the student can't go now ("at band saw 3", "not here").

    A student who joined twice has the earlier place. The order is that of joining, never of the clock.
    """
    why = blocked or {}
    seen: set[int] = set()
    order = []
    for entry in sorted(entries, key=lambda entry: entry.place):
        if entry.machine == machine and entry.student not in seen:
            seen.add(entry.student)
            order.append(WaitingPlace(entry.student, entry.place, why.get(entry.student, "")))
    return tuple(order)


def next_in_line(order: Iterable[WaitingPlace]) -> WaitingPlace | None:
    """The first student on the list who can go now: the name to call."""
    return next((waiting for waiting in order if not waiting.blocked), None)
