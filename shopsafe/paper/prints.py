"""From a sheet's dataclass to its PDF: plan, then render. What the other apps call."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import get_language_bidi

from shopsafe.language.messages import _, marked
from shopsafe.paper import fonts as files
from shopsafe.paper.codes import qr_side_mm
from shopsafe.paper.letters import drawable
from shopsafe.paper.press.render import as_html, print_htmls, render_pdf
from shopsafe.paper.rules.card_measures import (
    CHECK,
    GUTTER,
    MARGIN,
    NAMES_FROM,
    Measures,
    reads_from,
    stop_and_ask,
    wear_rows,
)
from shopsafe.paper.rules.card_plan import CardPlan, plan_card
from shopsafe.paper.rules.chart_heads import LEADING
from shopsafe.paper.rules.chart_plan import MEANS, ChartPlan, plan_chart
from shopsafe.paper.rules.legibility import Metrics, reading_distance, width, wrap
from shopsafe.paper.rules.ruling import ruled
from shopsafe.paper.rules.sheets import FOLLOW, LETTER, PROTECT, TABLOID, Paper, Slip, Slips, WallCard, WallChart
from shopsafe.paper.setting import FinishedPrint, LayoutResult, faces, qr_square, style

BY_HAND = marked("Added by hand: name, teacher's initials, date. No initials = not allowed.")
CODE, CODE_APART = 7.0, 0.02  # size of a sign-in code, and the space between its letters in that size, as in print.css
HAIRLINE = 0.002  # millimeters: columns that are rounded up would not be beside each other


def wall_card_reads(card: WallCard, *papers: Paper, metres: float = NAMES_FROM) -> LayoutResult:
    """What `wall_card` would come out as, from its plan alone: nothing is drawn."""
    plan = plan_card(card, papers or (LETTER,), faces(), qr_side=qr_side_mm(card.url), metres=metres)
    return LayoutResult(len(plan.sheets), plan.reads, plan.measures.paper)


def wall_chart_reads(chart: WallChart, paper: Paper = TABLOID, *, metres: float = NAMES_FROM) -> LayoutResult:
    """The same of `wall_chart`."""
    plan = plan_chart(chart, paper, faces(), qr_side=qr_side_mm(chart.url), metres=metres)
    return LayoutResult(len(plan.sheets), plan.reads, paper)


def wall_card_pdf(card: WallCard, *papers: Paper, metres: float = NAMES_FROM) -> bytes:
    """The PDF of `wall_card` alone."""
    return wall_card(card, *papers, metres=metres).pdf


def wall_card(card: WallCard, *papers: Paper, metres: float = NAMES_FROM) -> FinishedPrint:
    """One machine's card on the first paper, or on a later one where the names don't read from `meters` on the first.

    A machine that is tagged out gets a card that says so, without names.
    """
    return wall_cards([card], *papers, metres=metres)


def wall_cards(cards: Sequence[WallCard], *papers: Paper, metres: float = NAMES_FROM) -> FinishedPrint:
    """The cards of several machines in one file. It reads from where the least legible of them does."""
    cards = [drawable(card) for card in cards]
    rendered_cards = [_card(card, papers or (LETTER,), metres) for card in cards]
    pdf = print_htmls([html for html, _ in rendered_cards])
    parts = [part for _, part in rendered_cards]
    return FinishedPrint(pdf, sum(part.sheets for part in parts), min(part.reads for part in parts), parts[0].paper)


def _card(card: WallCard, papers: Sequence[Paper], metres: float) -> tuple[str, FinishedPrint]:
    """One card as HTML, and what it will come out as."""
    side = qr_side_mm(card.url)
    if card.tagged_out:
        on = Measures(card, papers[0], faces(), side, papers[0].scale, 14.0)
        reads = reading_distance(on.title_capital)
        context = {**_measured(on), "reads_from": reads_from(reads)}
        html = as_html(
            "machines/paper/tagged_out_card.html", context, title=f"{_(card.tagged_out.word)}: {card.machine}"
        )
        return html, FinishedPrint(b"", 1, reads, papers[0])
    plan = plan_card(card, papers, faces(), qr_side=side, metres=metres)
    html = as_html(
        "machines/paper/wall_card.html", _planned(plan), title=_("Wall card: {machine}", machine=card.machine)
    )
    return html, FinishedPrint(b"", len(plan.sheets), plan.reads, plan.measures.paper)


def _measured(on: Measures) -> dict[str, Any]:
    """What every card's template is given."""
    card = on.card
    return {
        "card": card,
        "paper": on.paper,
        "scale": f"{on.mm:.5f}",
        "style": style(
            high=on.high,
            title=on.title,
            title_high=on.title_high,
            stop=on.stop,
            stop_high=on.stop_high,
            stop_beside=on.stop_beside,
            stop_pad=(on.stop_high - on.stop_text - on.mm) / 2,
            body=on.size,
            note_high=on.note_high,
            qr=on.qr_side,
        ),
        "stop_and_ask": stop_and_ask(card.stop_and_ask),
        "follow": _(FOLLOW),
        "qr": qr_square(card.url, _("Card code {code}", code=card.code)),
    }


def _planned(plan: CardPlan) -> dict[str, Any]:
    on = plan.measures
    columns = len(plan.sheets[0].columns)
    rows = wear_rows(on.card.protect)
    return {
        **_measured(on),
        "sheets": plan.sheets,
        "names_style": style(
            name=plan.name_size,
            pitch=plan.name_size * plan.name_pitch,
            column=(on.wide - GUTTER * on.mm * (columns - 1)) / columns - HAIRLINE,
            each=on.wide / len(rows[0]) - HAIRLINE if rows else 0,
            rules_left=on.wide * CHECK + GUTTER * on.mm,
        ),
        "protect": [
            [(code, words := _(PROTECT[code]), on.wear_wraps(words, len(row))) for code in row] for row in rows
        ],
        "by_hand": _(BY_HAND),
        "reads_from": reads_from(plan.reads),
    }


def wall_chart_pdf(chart: WallChart, paper: Paper = TABLOID, *, metres: float = NAMES_FROM) -> bytes:
    """The PDF of `wall_chart` alone."""
    return wall_chart(chart, paper, metres=metres).pdf


def wall_chart(chart: WallChart, paper: Paper = TABLOID, *, metres: float = NAMES_FROM) -> FinishedPrint:
    """One class's matrix, upright or turned, on the fewest sheets of a paper that read from `meters`."""
    chart = drawable(chart)
    plan = plan_chart(chart, paper, faces(), qr_side=qr_side_mm(chart.url), metres=metres)
    pdf = render_pdf(
        "machines/paper/wall_chart.html", _charted(chart, plan), title=_("Wall chart: {scope}", scope=chart.scope)
    )
    return FinishedPrint(pdf, len(plan.sheets), plan.reads, plan.paper)


def _charted(chart: WallChart, plan: ChartPlan) -> dict[str, Any]:
    numbered, heads, lines = chart.numbered, plan.heads, plan.heads.key_lines
    key = [numbered[start : start + lines] for start in range(0, len(numbered), lines)] if lines else []
    return {
        "chart": chart,
        "sheets": [(sheet, _lines(chart, plan, len(sheet.rows))) for sheet in plan.sheets],
        "paper": plan.paper,
        "style": style(
            high=plan.high,
            title=plan.title,
            name=plan.size,
            band=plan.band,
            head=plan.head,
            row=plan.row,
            name_column=plan.name_column,
            wheel=plan.wheel,
            dated=min(plan.wheel, 0.9 * (plan.row - heads.day_size * LEADING)),
            day=heads.day_size,
            machine=heads.size,
            plate=heads.plate_size,
            key=heads.key_size,
            key_high=heads.key_high,
            key_column=(plan.wide - qr_side_mm(chart.url)) / max(len(key), 1) - HAIRLINE,
            qr=qr_side_mm(chart.url),
        ),
        "heads": [
            (number, heads.names[place] if heads.names else "", heads.plates.get(place, ()))
            for place, (number, _) in enumerate(numbered)
        ],
        "key": key,
        "means": _(MEANS),
        "follow": _(FOLLOW),
        "reads": f"{plan.reads:g}",
        "heads_read": f"{plan.heads_read:g}",
        "qr": qr_square(chart.url, _("Card code {code}", code=chart.code)),
    }


def _lines(chart: WallChart, plan: ChartPlan, rows: int) -> str:
    barred = [place for place, _ in chart.tagged_out]
    columns, from_the_right = max(len(chart.machines), 1), get_language_bidi()
    return ruled(plan.wide, plan.head, plan.row, rows, plan.name_column, columns, barred, from_the_right=from_the_right)


def slips_pdf(slips: Slips, paper: Paper = LETTER) -> bytes:
    """Sign-in slips of a class, eight a sheet, in the given order."""
    slips = drawable(slips)
    fonts = faces()
    wide, high = (paper.width - 2 * MARGIN) / 2, (paper.height - 2 * MARGIN) / 4
    side = max((qr_side_mm(slip.url) for slip in slips.slips), default=0)
    slip_entries = [
        (
            slip,
            slip_style(slip, wide, side, fonts.heading),
            qr_square(slip.url, _("Sign in as {student}", student=slip.name), side),
        )
        for slip in slips.slips
    ]
    beside = wide - side - 4
    code = min((_code_size(slip.slip_code, beside) for slip in slips.slips), default=CODE)
    context = {
        "slips": slips,
        "paper": paper,
        "sheets": [slip_entries[start : start + 8] for start in range(0, len(slip_entries), 8)],
        "style": style(high=4 * high + 0.1, slip_wide=wide - 0.01, slip_high=high, how=beside, code=code),
    }
    return render_pdf("school/paper/slips.html", context, title=_("Sign-in slips: {scope}", scope=slips.scope))


def _code_size(code: str, room: float) -> float:
    """The sign-in code is what has to be read, and is never broken: its widest letters make it smaller."""
    return min(CODE, room / (width(code, 1.0, (files.reading_font_bold(),)) + CODE_APART * len(code)))


def slip_style(slip: Slip, wide: float, side: float, heading: tuple[Metrics, ...]) -> str:
    """Sizes of the two names: the largest of a few at which each takes two lines; the smallest for a very long one."""

    def size(text: str, room: float, sizes: tuple[float, ...]) -> float:
        for size in sizes:
            lines = wrap(text, room, size, heading)
            if len(lines) <= 2 and max((width(line, size, heading) for line in lines), default=0) <= room:
                return size
        return sizes[-1]

    beside = wide - side - 4
    return style(
        name=size(slip.name, wide - 5, (7, 6, 5.2, 4.4)), signs_in=size(slip.sign_in_name, beside, (5, 4.2, 3.4))
    )
