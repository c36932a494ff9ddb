"""What stands over the columns of a wall chart below the numbers: names of machines, and since when one is out. Pure.

Where the columns are too narrow for the names, a key in the foot has them instead.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopsafe.conventions import written_short_day
from shopsafe.language.messages import _
from shopsafe.paper.rules.card_measures import Faces
from shopsafe.paper.rules.legibility import LEAST_CAPITAL, size_for, width, wrap
from shopsafe.paper.rules.sheets import TAGGED_OUT, TagOutNote, WallChart

LEADING = 1.15
BESIDE = 2.5  # left free in a column beside its name
MOST_LINES = 3
NAME_SIZES = tuple(tenths / 10 for tenths in range(58, 27, -2))  # of a machine's name, the largest that fits
BELOW = 2.0  # under the names
PLATE = 2.0  # around the words of a black plate, above, between and below together
KEY_LEADING = 1.15
KEY_GAP = 8.0


@dataclass(frozen=True)
class Columns:
    """How wide a column is, and the foot of the sheet beside its code."""

    wide: float
    foot: float


@dataclass(frozen=True)
class ChartHeads:
    """The heads of a chart below its numbers; lengths in millimeters. `names` is empty where the key has them."""

    names: tuple[str, ...]
    size: float
    plates: dict[int, tuple[str, ...]]  # place → the lines on the black plate over it
    plate_size: float
    day_size: float  # of a last day below a wheel
    high: float
    key_size: float
    key_columns: int
    key_lines: int

    @property
    def key_high(self) -> float:
        return self.key_lines * self.key_size * KEY_LEADING + (3 if self.key_lines else 0)

    @property
    def smallest(self) -> float:
        """The smallest of the sizes in use."""
        return min(size for size in (self.size, self.plate_size, self.day_size) if size)


def plan_heads(chart: WallChart, on: Columns, faces: Faces) -> ChartHeads:
    named, room = chart.numbered, on.wide - BESIDE
    labels = [name for _, name in named]
    size = _name_size(labels, room, faces)
    plates = {place: _plate_words(note) for place, note in chart.tagged_out}
    plate_size = _fits([line for words in plates.values() for line in words], room - 1, faces)
    days = [_("to {day}", day=written_short_day(day)) for row in chart.rows for _place, day in row.last_days]
    lines = [len(wrap(label, room, size, faces.names)) if size else 0 for label in labels]
    heights = [
        count * size * LEADING + (len(plates[place]) * plate_size * LEADING + PLATE if place in plates else 0)
        for place, count in enumerate(lines)
    ]
    key_size = size_for(LEAST_CAPITAL, faces.names[0])
    key_columns, key_lines = (1, 0) if size else _key(named, on.foot, key_size, faces)
    return ChartHeads(
        names=tuple(labels) if size else (),
        size=size or key_size,
        plates=plates,
        plate_size=plate_size,
        day_size=_fits(days, room, faces),
        high=max(heights, default=0.0) + BELOW,
        key_size=key_size,
        key_columns=key_columns,
        key_lines=key_lines,
    )


def _plate_words(note: TagOutNote) -> tuple[str, ...]:
    """ "out" and "27 Nov"; a machine that is only kept off until a teacher has looked has no day that matters."""
    if note.word in (TAGGED_OUT, _(TAGGED_OUT)):
        return _("out"), written_short_day(note.since)
    return tuple(_(note.word).lower().split())


def _name_size(labels: Sequence[str], room: float, faces: Faces) -> float:
    """The largest size at which every name is in its column, its words whole; 0 where none does."""
    for size in NAME_SIZES:
        broken = [wrap(label, room, size, faces.names) for label in labels]
        lines = max((len(words) for words in broken), default=0)
        widest = max((width(line, size, faces.names) for words in broken for line in words), default=0.0)
        if lines <= MOST_LINES and widest <= room:
            return size
    return 0.0


def _fits(words: Sequence[str], room: float, faces: Faces) -> float:
    """The largest size up to that of names at which the words are in a column; 0 without words."""
    widest = max((width(word, 1.0, faces.heading) for word in words), default=0.0)
    return min(NAME_SIZES[0], room / widest) if widest else 0.0


def _key(machines: Sequence[tuple[int, str]], wide: float, size: float, faces: Faces) -> tuple[int, int]:
    """How many columns of the key stand side by side, and how many lines it takes."""
    entry = max((width(f"{number}  {name}", size, faces.names) for number, name in machines), default=1.0) + KEY_GAP
    columns = max(1, min(int(wide / entry), len(machines)))
    return columns, math.ceil(len(machines) / columns)
