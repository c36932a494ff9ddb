"""Which kind asks for which first, as a graph: finding a circle and naming its path, and ranking for a drawing."""

from collections.abc import Hashable, Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from shopsafe.language.lists import in_turn


def circle_in[N: Hashable](asks: Mapping[N, Iterable[N]]) -> tuple[N, ...]:
    """Return the nodes of a circle, its first repeated at the end: ("band saw", "table saw", "band saw"). Return () if
    there is none.

    `asks` gives for each node the nodes it asks for first. The circle is named from the first of its nodes in `asks`.
    """
    try:
        TopologicalSorter(asks).prepare()
    except CycleError as error:
        circle: list[N] = error.args[1][:0:-1]  # graphlib names a circle from what is asked for to what asks
        place = {node: number for number, node in enumerate(asks)}
        start = min(range(len(circle)), key=lambda index: place[circle[index]])
        return (*circle[start:], *circle[:start], circle[start])
    return ()


def named_path(circle: Iterable[str]) -> str:
    """ "band saw → table saw → band saw" """
    return in_turn(circle)


def ranks[N: Hashable](asks: Mapping[N, Iterable[N]]) -> dict[N, int]:
    """Return for each node how long the longest chain it waits for is: 0 waits for none. Raise ValueError on a circle.

    The nodes are in the order in which `asks` names them.
    """
    if circle := circle_in(asks):
        raise ValueError(named_path(str(node) for node in circle))
    rank: dict[N, int] = {}
    for node in TopologicalSorter(asks).static_order():
        rank[node] = max((rank[first] + 1 for first in asks.get(node, ())), default=0)
    named = dict.fromkeys(node for key, after in asks.items() for node in (key, *after))
    return {node: rank[node] for node in named}


def in_order[N: Hashable](asks: Mapping[N, Iterable[N]]) -> list[N]:
    """Return the nodes, each after everything it asks for first; otherwise in the order given."""
    rank = ranks(asks)
    return sorted(rank, key=lambda node: rank[node])
