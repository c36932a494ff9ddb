"""Plans a wall chart: which way round the paper lies, how many sheets, how large names and numbers are. Pure.

A sheet is, from the top: class, band, the matrix, and the foot with footnotes, title block and QR code. A column is
headed by the machine's number, its name, and a black plate where it is out of use. Names and numbers are set at one
size, since both are needed to read a cell; what is smaller says its own distance.
"""

import math
from dataclasses import dataclass

from shopsafe.conventions import written_short_day
from shopsafe.language.messages import _, marked
from shopsafe.paper.rules.card_measures import MARGIN, NAMES_FROM, Faces
from shopsafe.paper.rules.chart_heads import ChartHeads, Columns, plan_heads
from shopsafe.paper.rules.legibility import capital_of, line_height, reading_distance, size_for, width, wrap
from shopsafe.paper.rules.names import in_order, short_names
from shopsafe.paper.rules.sheets import ChartRow, Paper, WallChart

PITCH = 1.12  # least height of a row in ems of its name
NUMBER_HIGH = 1.15  # of a number over a column, in ems
MOST_CAPITAL = 14.0
HEAD = 26.0  # class and band
PART = 95.0  # beside it: which sheet of how many
TITLE = 15.0  # size of the class's name at most
BAND, BAND_MARK = 6.0, 11.5  # size of the sentence below it at most, and the room of the wheel before it
BLOCK = 12.0  # title block
CAUTION = 7.2
NUMBER = 1.5  # a column is at least this much wider than its number
AFTER_NAME = 5.0
WIDEST_CELL = 30.0
BESIDE_CODE = 8.0
NOTE = 4.2  # size of a footnote
TALLEST_ROW = 26.0
MEANS = marked("A wheel: may use it with a teacher in the room, after asking. Blank means no. Tagged out: no one.")

type Cell = tuple[bool, str]  # whether it bears a wheel, and the wheel's own last day


@dataclass(frozen=True)
class ChartSheet:
    """One sheet: its rows of (name, a cell for each machine)."""

    number: int
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]


@dataclass(frozen=True)
class ChartPlan:
    """A chart ready to be set; lengths in millimeters."""

    paper: Paper
    sheets: tuple[ChartSheet, ...]
    wide: float
    high: float
    title: float
    band: float
    size: float
    head: float
    row: float
    name_column: float
    wheel: float
    heads: ChartHeads
    reads: float
    heads_read: float  # from how far names of machines and days read


@dataclass(frozen=True)
class _Room:
    """What a paper leaves for the matrix, and what does not depend on the size of the names."""

    wide: float
    high: float
    foot_wide: float
    notes: float  # height of the footnotes


def plan_chart(
    chart: WallChart, paper: Paper, faces: Faces, *, qr_side: float, metres: float = NAMES_FROM
) -> ChartPlan:
    """The fewest sheets, either way round, that read from `meters`; if none do, the most legible of at most two."""
    people = [row.name for row in chart.rows]
    named = sorted(zip(short_names(people), chart.rows, strict=True), key=lambda named_row: in_order(named_row[0]))
    best = None
    for count in range(1, max(2, math.ceil(len(people) / 8)) + 1):
        for lying in (paper, paper.turned):
            plan = _plan(chart, named, lying, faces, qr_side, count)
            if plan.reads >= metres:
                return plan
            if best is None or (count <= 2 and plan.reads > best.reads):
                best = plan
    assert best  # noqa: S101  the loop ran at least four times
    return best


def _room(chart: WallChart, paper: Paper, faces: Faces, qr_side: float) -> _Room:
    margin = 2 * MARGIN * (2**0.5 if max(paper.width, paper.height) > 350 else 1)
    wide, high = paper.width - margin, paper.height - margin
    foot_wide = wide - qr_side - BESIDE_CODE
    return _Room(wide, high, foot_wide, sum(_note(note, foot_wide, faces) for note in chart.footnotes))


def _plan(
    chart: WallChart, named: list[tuple[str, ChartRow]], paper: Paper, faces: Faces, qr_side: float, count: int
) -> ChartPlan:
    on, machines, rows = _room(chart, paper, faces, qr_side), max(len(chart.machines), 1), _rows(named, count)
    by_width = _widest_size(chart, named, on.wide, faces)
    heads = plan_heads(chart, Columns(_cell(on.wide, named, by_width, machines, faces), on.foot_wide), faces)
    foot = max(qr_side, heads.key_high + on.notes + BLOCK + CAUTION + 4) + 3
    room = on.high - HEAD - foot - heads.high
    pitch = line_height((name for name, _ in named), faces.names, PITCH)
    size = min(size_for(MOST_CAPITAL, faces.names[0]), by_width, room / (rows * pitch + NUMBER_HIGH))
    size = math.floor(size * 100) / 100
    cell = _cell(on.wide, named, size, machines, faces)
    row = min((room - size * NUMBER_HIGH) / rows, TALLEST_ROW)
    return ChartPlan(
        paper=paper,
        sheets=_sheets(named, machines, count, rows),
        wide=on.wide,
        high=on.high,
        title=min(TITLE, (on.wide - PART) / width(chart.scope, 1.0, faces.heading)),
        band=min(BAND, (on.wide - BAND_MARK) / width(_(MEANS), 1.0, faces.heading)),
        size=size,
        head=size * NUMBER_HIGH + heads.high,
        row=row,
        name_column=on.wide - machines * cell,
        wheel=0.72 * min(cell, row, 1.25 * size),
        heads=heads,
        reads=reading_distance(capital_of(size, faces.names[0])),
        heads_read=reading_distance(capital_of(heads.smallest, faces.names[0])),
    )


def _rows(named: list[tuple[str, ChartRow]], count: int) -> int:
    return math.ceil(len(named) / count) or 1


def _widest_size(chart: WallChart, named: list[tuple[str, ChartRow]], wide: float, faces: Faces) -> float:
    """The largest size of the names at which every column is still wider than its number."""
    widest_number = max((width(str(n), 1.0, faces.names) for n, _ in chart.numbered), default=0.5) * NUMBER
    return (wide - AFTER_NAME) / (_widest_name(named, faces) + max(len(chart.machines), 1) * widest_number)


def _widest_name(named: list[tuple[str, ChartRow]], faces: Faces) -> float:
    return max((width(name, 1.0, faces.names) for name, _ in named), default=0.0)


def _cell(wide: float, named: list[tuple[str, ChartRow]], size: float, machines: int, faces: Faces) -> float:
    """Width of a machine's column where names are set at `size`."""
    return min((wide - AFTER_NAME - _widest_name(named, faces) * size) / machines, WIDEST_CELL)


def _sheets(named: list[tuple[str, ChartRow]], machines: int, count: int, rows: int) -> tuple[ChartSheet, ...]:
    lines = [(name, _cells(row, machines)) for name, row in named]
    parts = [lines[start : start + rows] for start in range(0, len(lines), rows)] or [[]]
    return tuple(ChartSheet(number, tuple(part)) for number, part in enumerate(parts, start=1))


def _cells(row: ChartRow, machines: int) -> tuple[Cell, ...]:
    days = {place: _("to {day}", day=written_short_day(day)) for place, day in row.last_days}
    return tuple((place in row.cleared, days.get(place, "")) for place in range(machines))


def _note(note: str, wide: float, faces: Faces) -> float:
    """Height of a footnote."""
    return len(wrap(note, wide, NOTE, faces.names)) * NOTE * 1.2 + 1.5
