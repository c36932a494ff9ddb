"""Pocket cards, the substitute sheet, the safety agreement and rule posters: from dataclass to PDF."""

import re
from dataclasses import dataclass
from datetime import date
from math import inf
from typing import Any

from shopsafe.conventions import written_day, written_distance
from shopsafe.language.messages import _, marked
from shopsafe.paper import substitute_plan
from shopsafe.paper.codes import qr_side_mm
from shopsafe.paper.letters import drawable
from shopsafe.paper.press.render import render_pdf
from shopsafe.paper.rules.card_measures import MARGIN
from shopsafe.paper.rules.handout_sheets import (
    AgreementSheet,
    PocketCard,
    PocketCards,
    RulePoster,
    RulePosters,
    SubstituteSheet,
)
from shopsafe.paper.rules.legibility import Metrics, capital_of, fit_names, reading_distance, width, wrap
from shopsafe.paper.rules.sheets import FOLLOW, LETTER, Paper
from shopsafe.paper.setting import FinishedPrint, faces, page_count, qr_square, style

# A card of the format ID-1 [ISO/IEC 7810]: fits a wallet, a badge holder and the usual laminating pouches.
CARD_WIDE, CARD_HIGH = 85.6, 53.98
INSIDE = 4.0  # from a card's edge to what is printed
WHEEL = "OO "  # as wide as the wheel before a machine's name, and the space after it

ASK_FIRST = (
    marked("Ask your teacher each time, before you switch on."),
    marked("Look first: eyes, hair, sleeves, guard, floor."),
    marked("This card is yours alone."),
)
TEXT_SIZES = (5.0, 4.7, 4.4, 4.1, 3.8, 3.5)  # of the safety agreement


def pocket_cards(cards: PocketCards, paper: Paper = LETTER) -> FinishedPrint:
    """Cards to cut out, eight on letter and ten on A4."""
    cards = drawable(cards)
    down = int((paper.height - 2 * MARGIN) / CARD_HIGH)
    on_sheet = 2 * down
    listed = _listed(cards)
    rendered_cards = [_pocket_card(card, listed) for card in cards.cards]
    of, of_size = _whose(cards)
    sheets = [rendered_cards[start : start + on_sheet] for start in range(0, len(rendered_cards), on_sheet)]
    reads = min((card["metres"] for card in rendered_cards), default=0.0)
    context = {
        "cards": cards,
        "of": of,
        "paper": paper,
        "sheets": [[_place(card, place) for place, card in enumerate(sheet)] for sheet in sheets],
        "style": style(
            high=paper.height - 2 * MARGIN,
            left=(paper.width - 2 * CARD_WIDE) / 2 - MARGIN,
            top=(paper.height - down * CARD_HIGH) / 2 - MARGIN,
            all_wide=2 * CARD_WIDE,
            all_high=down * CARD_HIGH,
            of=of_size,
        ),
        "marks": _marks(down),
        "ask": [_(sentence) for sentence in ASK_FIRST],
        "follow": _(FOLLOW),
        "edge": [
            cards.scope,
            _("Printed {day}", day=written_day(cards.printed)),
            _("Reads from {distance}", distance=written_distance(reads)),
        ],
    }
    pdf = render_pdf("machines/paper/pocket_cards.html", context, title=_("Pocket cards: {scope}", scope=cards.scope))
    return FinishedPrint(pdf, len(sheets) * (2 if cards.backs else 1), reads, paper)


def pocket_cards_read(cards: PocketCards) -> float:
    """From how far the least legible of the cards reads."""
    listed = _listed(cards)
    return min((_read(_name_size(card), listed) for card in cards.cards), default=0.0)


def _whose(cards: PocketCards) -> tuple[str, float]:
    """Class and school on one line, and its size; the class alone where both are too long for a card."""
    wide, most, least = CARD_WIDE - 2 * INSIDE, 3.0, 2.4
    both = f"{cards.scope}, {cards.school}"
    sizes = {text: min(most, wide / (width(text, 1.0, faces().reading) or 1)) for text in (both, cards.scope)}
    return (both, sizes[both]) if sizes[both] >= least else (cards.scope, sizes[cards.scope])


def _name_size(card: PocketCard) -> float:
    fonts = faces().heading
    return min(6.4, (CARD_WIDE - 2 * INSIDE) / (width(card.name, 1.0, fonts) or 1))


@dataclass(frozen=True)
class _CardList:
    """How the machines are on all cards of a print: one size, so many columns of so many lines."""

    size: float
    columns: int
    lines: int


def _listed(cards: PocketCards) -> _CardList:
    """The longest list and the widest line decide for all cards."""
    fonts, most = faces().names, max((len(card.lines) for card in cards.cards), default=1)
    widest = max(
        (line for card in cards.cards for line in card.lines), key=lambda line: width(line, 1, fonts), default=""
    )
    room = 24.5 - (3.6 if any(card.note for card in cards.cards) else 0)
    fit = fit_names(
        [WHEEL + widest] * max(most, 1), CARD_WIDE - 2 * INSIDE, [room], fonts,
        most=4.6, pitch=1.12, gutter=3.0, columns=(1, 2, 3),
    )  # fmt: skip
    return _CardList(fit.size, fit.columns, max(1, -(-most // fit.columns)))


def _read(name: float, listed: _CardList) -> float:
    return reading_distance(capital_of(min(name, listed.size), faces().names[0]))


def _pocket_card(card: PocketCard, listed: _CardList) -> dict[str, Any]:
    name, lines = _name_size(card), listed.lines
    columns = [card.lines[start : start + lines] for start in range(0, len(card.lines), lines)]
    return {
        "card": card,
        "columns": columns,
        "blank": range(listed.columns - len(columns)),
        "sizes": style(name=name, machine=listed.size, qr=qr_side_mm(card.url)),
        "metres": _read(name, listed),
        "qr": qr_square(card.url, _("Card code {code}", code=card.code)),
    }


def _place(card: dict[str, Any], place: int) -> dict[str, Any]:
    """Where a card stands; its back is in the other column, so that the two meet when the sheet is turned."""
    row, column = divmod(place, 2)
    at = {"x": column * CARD_WIDE, "y": row * CARD_HIGH}
    return {**card, "front": style(**at), "back": style(x=(1 - column) * CARD_WIDE, y=at["y"])}


def _marks(down: int) -> list[str]:
    """Short lines in the margin where a knife is set: across the top and bottom, and down both sides."""
    across = [style(x=column * CARD_WIDE, y=y, w=0.2, h=5) for column in range(3) for y in (-6, down * CARD_HIGH + 1)]
    return across + [
        style(x=x, y=row * CARD_HIGH, w=5, h=0.2) for row in range(down + 1) for x in (-6, 2 * CARD_WIDE + 1)
    ]


def substitute_sheet(sheet: SubstituteSheet, paper: Paper = LETTER) -> FinishedPrint:
    """One page for a substitute: what may run and who may use it, what stays off, whom to call, today's work."""
    sheet = drawable(sheet)
    plan = substitute_plan.planned(sheet, paper)
    context = {
        "sheet": sheet,
        "paper": paper,
        "plan": plan,
        "classes": [
            {
                "of": of,
                "about": substitute_plan.head_text(of),
                "rows": [(whole(row.machines), substitute_plan.row_text(row.names)) for row in of.rows],
            }
            for of in sheet.classes
        ],
        "lines": range(plan.lines),
        "share": f"{plan.left:.0%}",
        "style": style(size=plan.size, high=paper.height - 2 * MARGIN),
        "follow": _(FOLLOW),
        "cells": [
            (_("For"), sheet.scope),
            (_("Valid"), _("{day} only", day=written_day(sheet.day))),
            (_("Printed"), written_day(sheet.printed)),
            (_("Distance"), _("Reads from {distance}", distance=written_distance(plan.reads))),
        ],
    }
    pdf = render_pdf(
        "machines/paper/substitute_sheet.html", context, title=_("Substitute sheet: {scope}", scope=sheet.scope)
    )
    return FinishedPrint(pdf, page_count(pdf), plan.reads, paper)


def whole(machine: str) -> str:
    """A machine's number is not parted from its name."""
    return re.sub(r" (?=\d)", "\u00a0", machine)


def substitute_sheet_reads(sheet: SubstituteSheet, paper: Paper) -> float:
    return substitute_plan.planned(sheet, paper).reads


def agreement(sheet: AgreementSheet, paper: Paper = LETTER) -> FinishedPrint:
    """The safety agreement, one sheet a student; without students, one with blanks."""
    sheet = drawable(sheet)
    (size, reads), class_size = _agreement_size(sheet, paper), _class_size(sheet, paper)
    context = {
        "sheet": sheet,
        "paper": paper,
        "students": sheet.students or ("",),
        "class_size": class_size,
        "style": style(text_size=size, of_class=class_size),
        "cells": [
            (_("Shop"), f"{sheet.school}, {sheet.shop}"),
            (_("Printed"), written_day(sheet.printed)),
            (_("Distance"), _("Reads from {distance}", distance=written_distance(reads))),
        ],
    }
    pdf = render_pdf(
        "machines/paper/agreement.html",
        context,
        title=_("Safety agreement {year}: {shop}", year=sheet.year, shop=sheet.shop),
    )
    return FinishedPrint(pdf, page_count(pdf), reads, paper)


def agreement_reads(sheet: AgreementSheet, paper: Paper) -> float:
    return _agreement_size(sheet, paper)[1]


def _agreement_size(sheet: AgreementSheet, paper: Paper) -> tuple[float, float]:
    """Size of the text, and from how far it reads."""
    wide, high = paper.width - 2 * MARGIN, paper.height - 2 * MARGIN
    fonts = faces().reading
    size = next((size for size in TEXT_SIZES if _agreed(sheet, size, wide, fonts) <= high), TEXT_SIZES[-1])
    return size, reading_distance(capital_of(size, fonts[0]))


def _class_size(sheet: AgreementSheet, paper: Paper) -> float:
    """Size of the class's name on its line. 0: none is given, or it is too long, and is written there by hand."""
    wide, most = (paper.width - 2 * MARGIN) * 0.34 - 14, 5.0
    needed = width(sheet.class_name, most, faces().heading) if sheet.class_name else inf
    return size if (size := min(most, most * wide / needed)) >= 2.6 else 0


def _agreed(sheet: AgreementSheet, size: float, wide: float, fonts: tuple[Metrics, ...]) -> float:
    """Height of one student's agreement at a size of its text."""
    texts = (sheet.intro, sheet.promise, sheet.guardian)
    lines = sum(len(wrap(text, wide, size, fonts)) for text in texts)
    rules = [len(wrap(rule, wide - 7, size, fonts)) for rule in sheet.rules]
    return (lines + sum(rules)) * size * 1.3 + len(rules) + 3 * (4 + size * 1.82) + 4 * 11.4 + 44


def rule_posters(posters: RulePosters, paper: Paper = LETTER) -> FinishedPrint:
    """One rule a sheet, as large as it fits."""
    posters = drawable(posters)
    rendered_posters = [_poster(poster, paper, posters.printed) for poster in posters.posters]
    reads = min((rendered["metres"] for rendered in rendered_posters), default=0.0)
    context = {"posters": posters, "paper": paper, "drawn": rendered_posters, "follow": _(FOLLOW)}
    pdf = render_pdf("machines/paper/rule_posters.html", context, title=posters.title)
    return FinishedPrint(pdf, len(rendered_posters), reads, paper)


def rule_posters_read(posters: RulePosters, paper: Paper) -> float:
    """From how far the rule itself reads."""
    return min((_poster(poster, paper, posters.printed)["metres"] for poster in posters.posters), default=0.0)


def _poster(poster: RulePoster, paper: Paper, printed: date) -> dict[str, Any]:
    fonts, mm = faces(), paper.scale
    wide, high = paper.width - 2 * MARGIN * mm, paper.height - 2 * MARGIN * mm
    picture = min(wide / poster.picture_ratio, high * 0.46) if poster.picture else 0.0
    why = 7.5 * mm
    below = len(wrap(poster.why, wide, why, fonts.reading)) * why * 1.3 + 52 * mm
    room = high - picture - below - 14 * mm
    size = largest_size(poster.rule, wide, room, fonts.heading, most=(42 if poster.picture else 64) * mm)
    metres = reading_distance(capital_of(size, fonts.heading[0]))
    return {
        "poster": poster,
        "metres": metres,
        "cells": [
            (_("Rules for"), poster.subject),
            (_("Printed"), written_day(printed)),
            (_("Distance"), _("Reads from {distance}", distance=written_distance(metres))),
        ],
        "style": style(high=high, rule=size, why=why, picture=picture),
    }


def largest_size(text: str, wide: float, high: float, fonts: tuple[Metrics, ...], *, most: float) -> float:
    """The largest size at which a text is in a box, its words whole."""
    size = most
    while size > 4:
        lines = wrap(text, wide, size, fonts)
        if len(lines) * size * 1.08 <= high and max(width(line, size, fonts) for line in lines) <= wide:
            return size
        size *= 0.97
    return size
