"""Plans a wall chart: which way round the paper lies, how many sheets, how large names and numbers are. Pure.

A sheet is, from the top: class, band, the matrix with numbered columns, and the foot with the key to the numbers, title
block and QR code. Names and column numbers are set at one size, since both are needed to read a cell.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopsafe.paper.rules.card_measures import MARGIN, NAMES_FROM, Faces
from shopsafe.paper.rules.legibility import (
    LEAST_CAPITAL,
    capital_of,
    line_height,
    reading_distance,
    size_for,
    width,
    wrap,
)
from shopsafe.paper.rules.names import in_order, short_names
from shopsafe.paper.rules.sheets import ChartRow, Paper, WallChart

PITCH = 1.12  # least height of a row in ems of its name
MOST_CAPITAL = 14.0
HEAD = 26.0  # class and band
PART = 95.0  # beside it: which sheet of how many
TITLE = 15.0  # size of the class's name at most
BLOCK = 12.0  # title block
CHECKPOINT = 12.0  # with the caution above it
NUMBER = 1.5  # a column is at least this much wider than its number
AFTER_NAME = 5.0
WIDEST_CELL = 30.0
KEY_LEADING = 1.15
KEY_GAP = 8.0
NOTE = 4.2  # size of a footnote
TALLEST_ROW = 26.0


@dataclass(frozen=True)
class ChartSheet:
    """One sheet: its rows of (name, cleared for each machine)."""

    number: int
    rows: tuple[tuple[str, tuple[bool, ...]], ...]


@dataclass(frozen=True)
class ChartPlan:
    """A chart ready to be set; lengths in millimetres."""

    paper: Paper
    sheets: tuple[ChartSheet, ...]
    wide: float
    high: float
    title: float
    size: float
    row: float
    name_column: float
    wheel: float
    key_size: float
    key_columns: int
    reads: float


def plan_chart(
    chart: WallChart, paper: Paper, faces: Faces, *, qr_side: float, metres: float = NAMES_FROM
) -> ChartPlan:
    """The fewest sheets, either way round, that read from `metres`; if none do, the most legible of at most two."""
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


def _plan(
    chart: WallChart, named: list[tuple[str, ChartRow]], paper: Paper, faces: Faces, qr_side: float, count: int
) -> ChartPlan:
    margin = 2 * MARGIN * 2**0.5
    wide, high = paper.width - margin, paper.height - margin
    machines = max(len(chart.machines), 1)
    key_size = size_for(LEAST_CAPITAL, faces.names[0])
    key_columns, key_lines = _key(chart.numbered, wide - qr_side - KEY_GAP, key_size, faces)
    notes = sum(_note(note, wide - qr_side - KEY_GAP, faces) for note in chart.notes)
    foot = max(qr_side, key_lines * key_size * KEY_LEADING + notes + BLOCK + CHECKPOINT + 4) + 3
    rows = math.ceil(len(named) / count) or 1
    room = high - HEAD - foot
    pitch = line_height((name for name, _ in named), faces.names, PITCH)
    widest_name = max((width(name, 1.0, faces.names) for name, _ in named), default=0.0)
    widest_number = max((width(str(n), 1.0, faces.names) for n, _ in chart.numbered), default=0.5) * NUMBER
    size = min(
        size_for(MOST_CAPITAL, faces.names[0]),
        room / ((rows + 1) * pitch),
        (wide - AFTER_NAME) / (widest_name + machines * widest_number),
    )
    size = math.floor(size * 100) / 100
    cell = min((wide - AFTER_NAME - widest_name * size) / machines, WIDEST_CELL)
    row = min(room / (rows + 1), TALLEST_ROW)
    return ChartPlan(
        paper=paper,
        sheets=_sheets(named, machines, count, rows),
        wide=wide,
        high=high,
        title=min(TITLE, (wide - PART) / width(chart.scope, 1.0, faces.heading)),
        size=size,
        row=row,
        name_column=wide - machines * cell,
        wheel=0.72 * min(cell, row, 1.25 * size),
        key_size=key_size,
        key_columns=key_columns,
        reads=reading_distance(capital_of(size, faces.names[0])),
    )


def _sheets(named: list[tuple[str, ChartRow]], machines: int, count: int, rows: int) -> tuple[ChartSheet, ...]:
    lines = [(name, tuple(place in row.cleared for place in range(machines))) for name, row in named]
    parts = [lines[start : start + rows] for start in range(0, len(lines), rows)] or [[]]
    return tuple(ChartSheet(number, tuple(part)) for number, part in enumerate(parts, start=1))


def _note(note: str, wide: float, faces: Faces) -> float:
    """Height of a footnote."""
    return len(wrap(note, wide, NOTE, faces.names)) * NOTE * 1.2 + 1.5


def _key(machines: Sequence[tuple[int, str]], wide: float, size: float, faces: Faces) -> tuple[int, int]:
    """How many columns of the key stand side by side, and how many lines it takes."""
    entry = max((width(f"{number}  {name}", size, faces.names) for number, name in machines), default=1.0) + KEY_GAP
    columns = max(1, min(int(wide / entry), len(machines)))
    return columns, math.ceil(len(machines) / columns)
