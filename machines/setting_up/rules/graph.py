"""Which kind asks for which first, as a graph: finding a circle and naming its path, and ranking for a drawing."""

from collections.abc import Hashable, Iterable, Mapping


def circle_in[N: Hashable](asks: Mapping[N, Iterable[N]]) -> tuple[N, ...]:
    """The nodes of a circle, its first repeated at the end: ("band saw", "table saw", "band saw"); () if there is none.

    `asks` gives for each node the nodes it asks for first. Nodes are tried in the order given, so the same graph
    names the same circle. No recursion: a chain of any length is fine.
    """
    done: set[N] = set()
    for start in asks:
        path, place = [start], {start: 0}
        trail = [iter(asks.get(start, ()))] if start not in done else []
        while trail:
            node = next(trail[-1], None)
            if node is None:
                trail.pop()
                left = path.pop()
                del place[left]
                done.add(left)
            elif node in place:
                return (*path[place[node] :], node)
            elif node not in done:
                place[node] = len(path)
                path.append(node)
                trail.append(iter(asks.get(node, ())))
    return ()


def named_path(circle: Iterable[str]) -> str:
    """ "band saw → table saw → band saw" """
    return " → ".join(circle)


def ranks[N: Hashable](asks: Mapping[N, Iterable[N]]) -> dict[N, int]:
    """For each node of a graph without circles, how long the longest chain it waits for is: 0 waits for none.

    Raises ValueError on a circle.
    """
    if circle := circle_in(asks):
        raise ValueError(named_path(str(node) for node in circle))
    nodes = {node: tuple(after) for node, after in asks.items()}
    for after in list(nodes.values()):
        for node in after:
            nodes.setdefault(node, ())
    rank: dict[N, int] = {}
    while len(rank) < len(nodes):
        for node, after in nodes.items():
            if node not in rank and all(one in rank for one in after):
                rank[node] = max((rank[one] + 1 for one in after), default=0)
    return rank


def in_order[N: Hashable](asks: Mapping[N, Iterable[N]]) -> list[N]:
    """The nodes, each after everything it asks for first; otherwise in the order given."""
    rank = ranks(asks)
    return sorted(rank, key=lambda node: rank[node])
