"""Plans a wall card: which names at which size, on how many sheets, and how large the rest is set. Pure.

A sheet is, from the top: machine name, band, names, lines for names added by hand, how to stop, what to wear, two lists
(before you start, rules), and the foot with cautions, title block and QR code. The lists are on the first sheet, the
lines on the last.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopsafe.paper.rules.card_measures import (
    BREATH,
    GUTTER,
    HAND,
    HAND_LINES,
    NAMES_FROM,
    TITLE_CAPITAL,
    Faces,
    Measures,
)
from shopsafe.paper.rules.legibility import (
    LEAST_CAPITAL,
    Fit,
    NameLayout,
    choose,
    fit_names,
    line_height,
    reading_distance,
    split,
)
from shopsafe.paper.rules.names import full_names, in_order, short_names
from shopsafe.paper.rules.sheets import Paper, WallCard

PITCH = 1.03  # least line height of names in ems: ascender and descender of Barlow take .94
LOOSE = 1.32  # line height of names where there is room
NAMES_AT_MOST = TITLE_CAPITAL  # ems in millimeters: capitals of 14 mm, since the machine's name leads
MORE_HAND = 5  # further lines to write on where there is room
SCALES = (2**0.5, 1.2, 1.0)  # of the drawing on tabloid and A3; on letter and A4 only the last
POINTS = (14.0, 13.0, 12.5, 12.0, 11.5, 11.0, 10.5, 10.0)  # of the small print


@dataclass(frozen=True)
class CardSheet:
    """One sheet of a card: its columns of names, and what else is on it."""

    number: int
    columns: tuple[tuple[str, ...], ...]
    names_height: float
    hand_lines: int
    facts: bool

    @property
    def hand(self) -> range:
        """The lines to write on, for a template to walk."""
        return range(self.hand_lines)


@dataclass(frozen=True)
class CardPlan:
    """A card ready to be set. `reads` is computed from what is set, never from what was wished for."""

    measures: Measures
    sheets: tuple[CardSheet, ...]
    shown: str  # "full" or "short"
    name_size: float
    name_pitch: float  # line height in ems
    reads: float


def plan_card(
    card: WallCard, papers: Sequence[Paper], faces: Faces, *, qr_side: float, metres: float = NAMES_FROM
) -> CardPlan:
    """The first way down the ladder that reads from `meters`: full names, first name and initial, the larger papers
    offered, more sheets; if none does, the way that reads from furthest."""
    people = sorted(card.names, key=lambda person: in_order(person.full))
    shown = {"full": sorted(full_names(people), key=in_order), "short": sorted(short_names(people), key=in_order)}
    ladder = [(kind, paper, 1) for paper in papers for kind in shown]
    ladder += [("short", papers[0], count) for count in range(2, most_sheets(len(people)) + 1)]
    plans: dict[NameLayout, CardPlan] = {}
    for kind, paper, count in ladder:
        names = shown[kind]
        for scale, points in sizes(paper):
            plan = _plan(Measures(card, paper, faces, qr_side, scale, points), names, kind, count)
            if plan:
                plans.setdefault(NameLayout(kind, paper.code, count, plan.reads), plan)
            if plan and plan.reads >= metres:
                return plan
    return plans[choose(list(plans), metres)]


def sizes(paper: Paper) -> Iterator[tuple[float, float]]:
    """Scales of the drawing and sizes of its small print, the largest first."""
    for scale in SCALES:
        if scale <= paper.scale:
            yield from ((scale, points) for points in POINTS)


def most_sheets(people: int) -> int:
    """A class goes on two sheets; a whole shop takes one more for every twenty people."""
    return max(2, math.ceil(people / 20))


def _plan(on: Measures, names: list[str], kind: str, count: int) -> CardPlan | None:
    """Names over `count` sheets; None if something else takes the room."""
    heights = [on.room(first=number == 1, last=number == count) for number in range(1, count + 1)]
    if min(heights) < 3 * LEAST_CAPITAL:
        return None
    pitch = line_height(names, on.faces.names, PITCH)
    setting = fit_names(
        names, on.wide, heights, on.faces.names, most=NAMES_AT_MOST * on.mm, pitch=pitch, gutter=GUTTER * on.mm
    )
    sheets = tuple(
        _sheet(on, part, height, setting, number, last=number == count)
        for number, (part, height) in enumerate(zip(split(names, setting.rooms), heights, strict=True), start=1)
    )
    lines = [sheet.names_height / max(len(sheet.columns[0]), 1) for sheet in sheets]
    reads = setting.metres if names else reading_distance(on.title_capital)
    return CardPlan(
        on, sheets, kind, setting.size, min(max(LOOSE, pitch), *(line / setting.size for line in lines)), reads
    )


def _sheet(on: Measures, names: tuple[str, ...], height: float, setting: Fit, number: int, *, last: bool) -> CardSheet:
    """One sheet; the last one turns what is left over into lines to write on."""
    rows = math.ceil(len(names) / setting.columns)
    columns = tuple(names[index * rows : (index + 1) * rows] for index in range(setting.columns))
    spare = height - BREATH * on.mm - rows * setting.size * LOOSE
    extra_lines = min(max(int(spare / (HAND * on.mm)), 0), MORE_HAND) if last else 0
    return CardSheet(
        number, columns, height - extra_lines * HAND * on.mm, extra_lines + HAND_LINES if last else 0, number == 1
    )
