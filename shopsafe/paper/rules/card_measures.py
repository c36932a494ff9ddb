"""How much room the parts of a wall card take, from what they say and how large it is set. Pure; millimeters.

The numbers here and in static/css/print/print.css are the same numbers: there in rem, here times `mm`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopsafe.conventions import written_day, written_distance
from shopsafe.language.messages import _
from shopsafe.paper.rules.legibility import MM_PER_PT, Metrics, capital_of, size_for, width, wrap
from shopsafe.paper.rules.sheets import FOLLOW, PROTECT, Paper, WallCard

MARGIN = 10.0  # of letter and A4; larger papers have √2 of it
GUTTER = 7.0
NAMES_FROM = 3.0  # meters
HAND = 9.5  # one line to write on
HAND_LINES = 2
BREATH = 2.0  # below the last name, so that no descender meets a rule
TITLE_CAPITAL = 20.0  # the machine's name reads from 6 m
STOP_POINTS = 18.0  # capitals of 4.4 mm, above the least height of a sign's message
LEADING = 1.25
QR_OVERHANG = 4.0  # the quiet zone's lower edge lies in the margin, which is white too
CHECK = 0.41  # of the width, with a gutter after it: the column "Before you start"; the rules have the rest
WEAR_A_ROW = 7


@dataclass(frozen=True)
class Faces:
    """The fonts a sheet is set in; each is followed by the fallbacks for other scripts."""

    names: tuple[Metrics, ...]
    heading: tuple[Metrics, ...]
    reading: tuple[Metrics, ...]


@dataclass(frozen=True)
class Measures:
    """One card on one paper. `mm` is what the stylesheet calls a rem; `points` is the size of the small print."""

    card: WallCard
    paper: Paper
    faces: Faces
    qr_side: float
    mm: float
    points: float

    @property
    def wide(self) -> float:
        return self.paper.width - 2 * MARGIN * self.paper.scale

    @property
    def high(self) -> float:
        return self.paper.height - 2 * MARGIN * self.paper.scale

    @property
    def size(self) -> float:
        """Of the small print, in millimeters."""
        return self.points * MM_PER_PT * self.mm

    @property
    def title(self) -> float:
        """Size of the machine's name: read from 6 m unless it is too long for that."""
        widest = width(self.card.machine.upper(), 1.0, self.faces.heading)
        return min(size_for(TITLE_CAPITAL * self.mm, self.faces.heading[0]), self.wide / (widest or 1))

    @property
    def title_capital(self) -> float:
        return capital_of(self.title, self.faces.heading[0])

    @property
    def title_high(self) -> float:
        return self.title_capital + 4.5 * self.mm

    @property
    def stop(self) -> float:
        """Size of the sentence that says how to stop."""
        return STOP_POINTS * MM_PER_PT * self.mm

    @property
    def stop_beside(self) -> float:
        """Where the sentence begins: beside the words "To stop", which are longer in another language."""
        head = width(_("To stop"), self.stop, self.faces.heading) + 3 * self.mm
        return 17 * self.mm + max(20 * self.mm, head)

    @property
    def stop_text(self) -> float:
        room = self.wide - self.stop_beside
        return len(wrap(self.card.stop, room, self.stop, self.faces.heading)) * self.stop * 1.15

    @property
    def stop_high(self) -> float:
        return max(self.stop_text, 10 * self.mm) + 3.5 * self.mm

    @property
    def facts(self) -> float:
        """What to wear, and two columns below it, as high as the higher."""
        wear = len(wear_rows(self.card.protect)) * 10.0 * self.mm
        check = self._items(self.card.pre_use, self.wide * CHECK)
        rules = self._items(self.card.rules, self.wide * (1 - CHECK) - GUTTER * self.mm)
        lists = max(check, rules)
        return wear + (lists + 6.2 * self.mm if lists else 0) + (2 * self.mm if wear or lists else 0)

    def wear_wraps(self, words: str, pieces: int) -> bool:
        """Whether the words beside a pictogram take two lines, in a row of so many pieces."""
        return len(wrap(words, self.wide / pieces - 9.6 * self.mm, 3.9 * self.mm, self.faces.names)) > 1

    def _items(self, items: Sequence[str], room: float) -> float:
        lines = sum(len(wrap(item, room - 6.5 * self.mm, self.size, self.faces.reading)) for item in items)
        return lines * self.size * LEADING + len(items) * 0.8 * self.mm

    @property
    def foot(self) -> float:
        """Cautions and title block beside the QR code."""
        wide = self.wide - self.qr_side
        asked = wrap(stop_and_ask(self.card.stop_and_ask), wide, self.size, self.faces.reading)
        follow = wrap(_(FOLLOW), wide, 1.12 * self.size, self.faces.heading)
        scope = wrap(self.card.scope, wide * 2 / 3 - 5 * self.mm, 4.2 * self.mm, self.faces.names)
        cells = [wrap(text, wide / 3 - 5 * self.mm, 4.2 * self.mm, self.faces.names) for text in self.title_cells]
        block = (len(scope) + max(map(len, cells))) * 4.62 * self.mm + 11.5 * self.mm
        cautions = (len(asked) + 1.15 * len(follow)) * self.size * LEADING
        return max(cautions + block, self.qr_side - QR_OVERHANG) + 2 * self.mm

    @property
    def title_cells(self) -> tuple[str, str, str]:
        """What is in the second row of the title block, with a distance as long as any."""
        until = self.card.valid_until
        ends = written_day(until) if until else _("a new one is printed")
        return written_day(self.card.printed), ends, reads_from(10.5)

    @property
    def note_high(self) -> float:
        """What must be known of the names, above them."""
        lines = wrap(self.card.note, self.wide, self.size, self.faces.names)
        return len(lines) * self.size * LEADING + self.mm if lines else 0

    def room(self, *, first: bool, last: bool) -> float:
        """Height left for names on one sheet: the first carries the lists, the last the lines to write on."""
        taken = self.title_high + (12 + BREATH) * self.mm + self.stop_high + self.foot + self.note_high
        taken += HAND_LINES * HAND * self.mm if last else 0
        return self.high - taken - (self.facts if first else 0)


def reads_from(metres: float | str) -> str:
    """What the title block says of the distance that a sheet is read from."""
    return _("Reads from {distance}", distance=written_distance(float(metres)))


def wear_rows(codes: Sequence[str]) -> list[list[str]]:
    """Known pieces of equipment in rows of one length, seven a row at most."""
    known = [code for code in codes if code in PROTECT]
    rows = math.ceil(len(known) / WEAR_A_ROW)
    length = math.ceil(len(known) / rows) if rows else 0
    return [known[start : start + length] for start in range(0, len(known), length or 1)]


def stop_and_ask(reasons: Sequence[str]) -> str:
    """ "Stop and ask if the guard is loose, the blade is damaged, or no teacher is in the room." """
    if not reasons:
        return ""
    *first, last = reasons
    if not first:
        return _("Stop and ask if {reason}.", reason=last)
    if len(first) == 1:
        return _("Stop and ask if {reason} or {last}.", reason=first[0], last=last)
    return _("Stop and ask if {reasons}, or {last}.", reasons=", ".join(first), last=last)
