"""How large a substitute sheet can be set on one page. Its heights are those of css/print/handouts.css, in millimeters.

On the left the classes, on the right what stays off and the numbers to call. What is too much for one page at the least
size is set in one column and flows on.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil

from shopsafe.conventions import written_day, written_weekday
from shopsafe.language.messages import _, counted
from shopsafe.paper.rules.card_measures import MARGIN
from shopsafe.paper.rules.handout_sheets import SubstituteClass, SubstituteSheet
from shopsafe.paper.rules.legibility import Metrics, capital_of, reading_distance, width, wrap
from shopsafe.paper.rules.sheets import Paper
from shopsafe.paper.setting import faces

NAME_SIZES = tuple(tenths / 10 for tenths in range(60, 33, -2))
LEFTS, LABEL, BETWEEN = (0.62, 0.56, 0.5), 0.34, 7.0  # of the width: the classes; of these, the machines; the gap
FLOWING = 4.0  # where there is room on a second page
TITLE = 11.0
TEXT, SMALL = 4.0, 3.700  # of today's work; of rules, notes and reasons beside it
VERDICT = 6.400
CALL = 5.0
BLOCK = 15.0  # title block, and the space above it
CAUTION = 8.0
WRITE_ON, WRITE_HEAD, MOST_LINES = 9.0, 9.0, 9  # lines for what happened


@dataclass(frozen=True)
class SubstitutePlan:
    """Sizes in millimeters. `lines` are left to write on; `flows` where one page does not hold it."""

    size: float
    reads: float  # meters
    lines: int
    flows: bool
    left: float = 0.62  # of the width: the column of the classes


def planned(sheet: SubstituteSheet, paper: Paper) -> SubstitutePlan:
    """The largest names at which all of it is on one page."""
    wide = paper.width - 2 * MARGIN
    names = faces().names
    for size, share in product(NAME_SIZES, LEFTS):
        room = paper.height - 2 * MARGIN - _head(sheet, wide) - CAUTION - BLOCK
        left = sum(_class(of, size, wide * share, names) for of in sheet.classes) + _work(sheet, wide * share)
        free = room - left - WRITE_HEAD - WRITE_ON
        if free >= 0 and _right(sheet, wide * (1 - share) - BETWEEN) <= room:
            lines = min(MOST_LINES, 1 + int(free // WRITE_ON))
            return SubstitutePlan(size, _reads(sheet, size), lines, flows=False, left=share)
    return SubstitutePlan(FLOWING, _reads(sheet, FLOWING), 2, flows=True)


def _reads(sheet: SubstituteSheet, size: float) -> float:
    """From how far the names read; the rules, where no student is named."""
    if any(of.rows for of in sheet.classes):
        return reading_distance(capital_of(size, faces().names[0]))
    return reading_distance(capital_of(SMALL, faces().reading[0]))


def _head(sheet: SubstituteSheet, wide: float) -> float:
    """Day, and the sentence that says which machines may run."""
    fonts = faces()
    verdict = (len(wrap(sheet.verdict_line, wide, VERDICT, fonts.heading)) + bool(sheet.on)) * VERDICT * 1.2
    about = sum(len(wrap(note, wide, TEXT, fonts.names)) * TEXT * 1.2 + 1.5 for note in sheet.about)
    day = (
        len(wrap(f"{written_weekday(sheet.day)}, {written_day(sheet.day)}", wide * 0.66, TITLE, fonts.heading))
        * TITLE
        * 1.1
    )
    return max(day, 17.2) + verdict + about + 9


def _class(of: SubstituteClass, size: float, wide: float, names: tuple[Metrics, ...]) -> float:
    """Height of one class: its head, a row for machines of the same names, its work."""
    room, label = wide * (1 - LABEL) - 2, wide * LABEL - 9
    rows = [
        max(len(wrap(row_text(row.names), room, size, names)), len(wrap(row.machines, label, size, names)))
        for row in of.rows
    ]
    named = width(of.name, 6.4, faces().heading) + width(head_text(of), TEXT, faces().heading) + 3
    heads = ceil(named / wide) * 8 + 0.4
    nobody = 0 if of.rows else size * 1.2 + 2.8
    work = sum(len(wrap(line, room, TEXT, faces().reading)) for line in of.work)
    listed = sum(count * size * 1.2 + 2.8 for count in rows)
    return heads + 3 + nobody + listed + (work * TEXT * 1.3 + 2.8 if work else 0)


def head_text(of: SubstituteClass) -> str:
    """ "10:05 to 10:50, 14 students, supervised by Signe Dahl": what stands after the name of a class."""
    parts = [of.when, counted("{count} student", "{count} students", count=of.students)]
    if of.granted:
        parts.append(_("supervised by {names}", names=_any_of(of.granted)))
    return ", ".join(filter(None, parts))


def _any_of(names: Sequence[str]) -> str:
    """ "Signe Dahl", "Signe Dahl or Ola Berg"."""
    shown, *others = names
    for name in others:
        shown = _("{names} or {name}", names=shown, name=name)
    return shown


def row_text(names: tuple[str, ...]) -> str:
    """Names that are broken between each other, and nowhere else."""
    return ", ".join(name.replace(" ", "\u00a0") for name in names)


def _work(sheet: SubstituteSheet, wide: float) -> float:
    lines = sum(len(wrap(line, wide, TEXT, faces().reading)) for line in sheet.work)
    return lines * TEXT * 1.3 + 12 if lines else 0


def _right(sheet: SubstituteSheet, wide: float) -> float:
    """What stays off, whom to call, what always holds."""
    fonts = faces()
    boxed = [*sheet.holds, *(f"{machine.machine}: {machine.stays_off}" for machine in sheet.off)]
    off = sum(len(wrap(line, wide - 9, SMALL, fonts.names)) * SMALL * 1.25 + 1 for line in boxed) + (32 if boxed else 0)
    calls = 17 + sum(len(wrap(line, wide, CALL, fonts.heading)) * CALL * 1.25 + 1.5 for line in sheet.call)
    calls += 0 if sheet.has_number else WRITE_ON
    notes = sum(len(wrap(note, wide, SMALL, fonts.reading)) * SMALL * 1.3 for note in sheet.notes)
    rules = sum(len(wrap(rule, wide - 6, SMALL, fonts.reading)) * SMALL * 1.3 + 0.8 for rule in sheet.rules) + 11
    return off + calls + (notes + 11 if notes else 0) + rules
