"""What comes first, as a drawing: where each box stands and how the arrows run. A rule: numbers in, numbers out.

Machines that ask for nothing first are in the left column, and every other one right of all it asks for. Arrows
run in straight lines and square corners, from what comes first to what asks for it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from machines.setting_up.rules.graph import ranks

WIDTH, HEIGHT, GAP, LANE, EDGE = 196, 56, 24, 76, 16
CORNER = 8  # between two arrows that run side by side


@dataclass(frozen=True)
class Box:
    """One kind or machine. Lengths are in the drawing's own units, about a pixel each."""

    name: str
    x: int
    y: int
    here: bool = False

    @property
    def text_y(self) -> int:
        return self.y + HEIGHT // 2 + 6

    @property
    def text_x(self) -> int:
        return self.x + WIDTH // 2


@dataclass(frozen=True)
class Arrow:
    """From what comes first to what asks for it. `new`: it would be added by the change that is looked at."""

    first: str
    dependent: str
    path: str
    new: bool = False


@dataclass(frozen=True)
class Drawing:
    boxes: tuple[Box, ...]
    arrows: tuple[Arrow, ...]
    width: int
    height: int
    box_width: int = WIDTH
    box_height: int = HEIGHT


type Asks = Mapping[str, Sequence[str]]  # name → the names it asks for first


def drawing(asks: Asks, here: str = "", before: Asks | None = None) -> Drawing:
    """The drawing of a graph without circles. `here` is marked; arrows that `before` has not are new.

    What neither asks nor is asked for is left out, unless it is `here`. Raises ValueError on a circle.
    """
    asking = {name: firsts for name, firsts in asks.items() if firsts}
    shown = dict.fromkeys([*(n for n, firsts in asking.items() for n in (*firsts, n)), *([here] if here else [])])
    columns = _columns({name: tuple(asking.get(name, ())) for name in shown})
    boxes = {
        name: Box(name, EDGE + column * (WIDTH + LANE), EDGE + row * (HEIGHT + GAP), name == here)
        for column, names in enumerate(columns)
        for row, name in enumerate(names)
    }
    arrows = [
        Arrow(first, later, _path(boxes[first], boxes[later], *ends), _is_new(first, later, before))
        for (first, later), ends in _ends(asking, boxes).items()
    ]
    tallest = max((len(names) for names in columns), default=0)
    width = 2 * EDGE + len(columns) * (WIDTH + LANE) - LANE
    return Drawing(tuple(boxes.values()), tuple(arrows), width, 2 * EDGE + tallest * (HEIGHT + GAP) - GAP)


def _columns(asks: Asks) -> list[list[str]]:
    """Names by rank; within a column each as near as may be to the middle of what it asks for."""
    rank = ranks(asks)
    columns: list[list[str]] = [[] for _ in range(max(rank.values(), default=-1) + 1)]
    for name in asks:
        columns[rank[name]].append(name)
    place: dict[str, float] = {name: row for row, name in enumerate(columns[0])} if columns else {}
    for names in columns[1:]:
        names.sort(key=lambda name: _middle(place[first] for first in asks[name]))
        place |= {name: row for row, name in enumerate(names)}
    return columns


def _middle(places: Iterable[float]) -> float:
    values = list(places)
    return sum(values) / len(values)


def _ends(asks: Asks, boxes: Mapping[str, Box]) -> dict[tuple[str, str], tuple[int, int, int]]:
    """Arrow → where it leaves its box, where it enters the other, and its place among those that enter there."""
    arrows = [(first, later) for later, firsts in asks.items() for first in firsts]
    ends_by_arrow = {}
    for first, later in arrows:
        outgoing = sorted((t for f, t in arrows if f == first), key=lambda name: (boxes[name].y, boxes[name].x))
        into = sorted((f for f, t in arrows if t == later), key=lambda name: (boxes[name].y, boxes[name].x))
        leaves = boxes[first].y + HEIGHT * (outgoing.index(later) + 1) // (len(outgoing) + 1)
        enters = boxes[later].y + HEIGHT * (into.index(first) + 1) // (len(into) + 1)
        ends_by_arrow[first, later] = (leaves, enters, into.index(first) - len(into) // 2)
    return ends_by_arrow


def _path(first: Box, later: Box, leaves: int, enters: int, place: int) -> str:
    """Out of the right side, up or down in the lane before the box that asks, and into its left side."""
    start, end = first.x + WIDTH, later.x
    turn = end - LANE // 2 - CORNER * place
    if end - start <= LANE:
        return f"M{start} {leaves}H{turn}V{enters}H{end - 9}"
    # Over more than one column: down into the gap between two rows first, so that no box is crossed.
    return f"M{start} {leaves}H{start + LANE // 4}V{first.y + HEIGHT + GAP // 2}H{turn}V{enters}H{end - 9}"


def _is_new(first: str, later: str, before: Asks | None) -> bool:
    return before is not None and first not in before.get(later, ())
