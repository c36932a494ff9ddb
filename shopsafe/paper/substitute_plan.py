"""How large the names of a substitute sheet can be. Its heights are those of print-handouts.css, in millimetres."""

from shopsafe.paper.rules.card_measures import MARGIN
from shopsafe.paper.rules.handout_sheets import RUNNING_RULES, SubstituteMachine, SubstituteSheet
from shopsafe.paper.rules.legibility import Metrics, capital_of, reading_distance, wrap
from shopsafe.paper.rules.sheets import Paper
from shopsafe.paper.setting import faces

QUIET_SIZE = 5.6  # of the rules where nothing runs
NAME_SIZES = tuple(tenths / 10 for tenths in range(70, 33, -2))
TEXT, NOTE = 4.4, 4.2  # of rules and calls, and of what must be known of the names
FIXED = 50.0  # band, heads of the table, closing line, title block, and what separates them


def planned(sheet: SubstituteSheet, paper: Paper) -> tuple[float, float]:
    """Size of the names, and from how far in metres the sheet reads. Too much for one page flows on to a second."""
    fonts = faces()
    if not sheet.on:
        return NAME_SIZES[0], reading_distance(capital_of(QUIET_SIZE, fonts.reading[0]))
    wide = paper.width - 2 * MARGIN
    room = paper.height - 2 * MARGIN - FIXED - _head(sheet, wide) - _off(sheet.off, wide) - _lists(sheet, wide)
    size = next((size for size in NAME_SIZES if _rows(sheet.on, size, wide, fonts.names) <= room), NAME_SIZES[-1])
    return size, reading_distance(capital_of(size, fonts.names[0]))


def _rows(machines: list[SubstituteMachine], size: float, wide: float, names: tuple[Metrics, ...]) -> float:
    """The table at a size; a machine's name takes 31 % of the width."""
    whole = [", ".join(machine.names).replace(" ", "\u00a0").replace(",\u00a0", ", ") for machine in machines]
    lines = [
        max(len(wrap(line, wide * 0.69 - 2, size, names)), len(wrap(machine.machine, wide * 0.31 - 2, size, names)))
        for machine, line in zip(machines, whole, strict=True)
    ]
    return sum(count * size * 1.18 + 2.7 for count in lines)


def _head(sheet: SubstituteSheet, wide: float) -> float:
    fonts = faces()
    when = f"Wednesday 30 September 2026, {sheet.shop}"
    about = sum(len(wrap(note, wide, NOTE, fonts.names)) * NOTE * 1.2 + 1.5 for note in sheet.about)
    return (
        len(wrap(sheet.scope, wide, 12, fonts.heading)) * 12.6 + len(wrap(when, wide, 6, fonts.heading)) * 7.8 + about
    )


def _off(machines: list[SubstituteMachine], wide: float) -> float:
    """The framed list of what stays off. A machine's name is larger than the reason after it."""
    lines = [
        len(wrap(f"{machine.machine} {machine.stays_off}", wide - 8, 5.2, faces().reading)) for machine in machines
    ]
    return 14.8 + sum(lines) * 7.8 if machines else 0


def _lists(sheet: SubstituteSheet, wide: float) -> float:
    """Two columns: what always holds, and whom to call with what the teacher adds."""
    left, right, fonts = wide * 0.54 - 14, wide * 0.46, faces()
    always = 7.3 + sum(len(wrap(rule, left, TEXT, fonts.reading)) * TEXT * 1.25 + 1 for rule in RUNNING_RULES)
    calls = 7.3 + TEXT * 1.25 + sum(len(wrap(line, right, 5.2, fonts.heading)) * 6.5 for line in sheet.call)
    notes = sum(len(wrap(note, right, TEXT, fonts.reading)) * TEXT * 1.25 for note in sheet.notes)
    return max(always, calls + notes + (7.3 if notes else 0))
