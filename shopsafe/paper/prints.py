"""From a sheet's dataclass to its PDF: plan, then render. What the other apps call."""

import math
from typing import Any

from django.utils.safestring import mark_safe

from shopsafe.paper import fonts
from shopsafe.paper.card_measures import NAMES_FROM, Faces, Measures, stop_and_ask
from shopsafe.paper.card_plan import CardPlan, plan_card
from shopsafe.paper.chart_plan import ChartPlan, plan_chart
from shopsafe.paper.codes import qr_side_mm, qr_svg
from shopsafe.paper.legibility import metres_read
from shopsafe.paper.render import render_pdf
from shopsafe.paper.sheets import FOLLOW, LETTER, PROTECT, TABLOID, Paper, WallCard, WallChart

MEANS = "A wheel means: may use this machine while a teacher is in the room. Blank means no."
BY_HAND = "Added by hand: name, teacher's initials, date. No initials = not allowed."


def faces() -> Faces:
    """The fonts of names, headings and sentences."""
    names, heading, reading = fonts.names_font(), fonts.heading_font(), fonts.reading_font()
    return Faces((names,), (heading, names), (reading, names))


def wall_card_pdf(card: WallCard, *papers: Paper) -> bytes:
    """One machine's card on the first paper, or on a later one where the names don't read from 3 m on the first.

    A machine that is tagged out gets a card that says so, without names.
    """
    papers = papers or (LETTER,)
    side = qr_side_mm(card.url)
    if card.tagged_out:
        on = Measures(card, papers[0], faces(), side, papers[0].scale, 14.0)
        context = {**_measured(on), "reads": f"{metres_read(on.title_capital):g}"}
        return render_pdf("machines/paper/tagged_out_card.html", context, title=f"Tagged out: {card.machine}")
    plan = plan_card(card, papers, faces(), qr_side=side)
    return render_pdf("machines/paper/wall_card.html", _planned(plan), title=f"Wall card: {card.machine}")


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
            stop_pad=(on.stop_high - on.stop_text - on.mm) / 2,
            body=on.size,
            qr=on.qr_side,
        ),
        "stop_and_ask": stop_and_ask(card.stop_and_ask),
        "follow": FOLLOW,
        "qr": mark_safe(qr_svg(card.url, says=f"Card code {card.code}")),  # noqa: S308  drawn by us, text escaped there
    }


def _planned(plan: CardPlan) -> dict[str, Any]:
    card = plan.measures.card
    return {
        **_measured(plan.measures),
        "sheets": plan.sheets,
        "names_style": style(name=plan.name_size, pitch=plan.name_size * plan.name_pitch),
        "protect": [(code, PROTECT[code]) for code in card.protect if code in PROTECT],
        "by_hand": BY_HAND,
        "reads": f"{plan.reads:g}",
    }


def wall_chart_pdf(chart: WallChart, paper: Paper = TABLOID, *, metres: float = NAMES_FROM) -> bytes:
    """One class's matrix on tabloid or A3, upright or turned, on the fewest sheets that read from `metres`."""
    plan = plan_chart(chart, paper, faces(), qr_side=qr_side_mm(chart.url), metres=metres)
    return render_pdf("machines/paper/wall_chart.html", _charted(chart, plan), title=f"Wall chart: {chart.scope}")


def _charted(chart: WallChart, plan: ChartPlan) -> dict[str, Any]:
    numbered = list(enumerate(chart.machines, start=1))
    lines = math.ceil(len(numbered) / plan.key_columns)
    digest = chart.checkpoint.digest if chart.checkpoint else ""
    return {
        "chart": chart,
        "plan": plan,
        "paper": plan.paper,
        "style": style(
            high=plan.high,
            title=plan.title,
            name=plan.size,
            row=plan.row,
            name_column=plan.name_column,
            wheel=plan.wheel,
            key=plan.key_size,
            qr=qr_side_mm(chart.url),
        ),
        "numbered": numbered,
        "key": [numbered[start : start + lines] for start in range(0, len(numbered), lines)],
        "means": MEANS,
        "follow": FOLLOW,
        "reads": f"{plan.reads:g}",
        "digest": " ".join(digest[start : start + 8] for start in range(0, len(digest), 8)),
        "qr": mark_safe(qr_svg(chart.url, says=f"Card code {chart.code}")),  # noqa: S308  drawn by us, text escaped there
    }


def style(**lengths: float) -> str:
    """Custom properties in millimetres for one sheet's style attribute."""
    return "; ".join(f"--{name.replace('_', '-')}: {length:.3f}mm" for name, length in lengths.items())
