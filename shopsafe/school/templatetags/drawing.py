"""Template tags for the drawing-office look: marks of standing, pictograms, dates as people say them."""

import re
import uuid
from collections.abc import Container
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.templatetags.static import static
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString
from django.utils.text import capfirst

from shopsafe.conventions import written_day, written_distance, written_moment, written_time
from shopsafe.language.messages import _
from shopsafe.paper.rules.sheets import PROTECT
from shopsafe.school.calendar import full_minute_after
from shopsafe.school.models import Person
from shopsafe.school.naming.rules.ordering import people_in_order

register = template.Library()

# standing → symbol in static/marks.svg. Only the full wheel means go.
SYMBOLS = {
    "cleared": "cleared",
    "ready for sign-off": "ready",
    "in training": "training",
    "not started": "not-started",
    "on hold": "on-hold",
    "expired": "lapsed",
    "shop": "shop",  # the sign in the head of every page: cornered, since a wheel says "go"
}


register.filter(people_in_order)  # {% for teacher in section.teachers.all|people_in_order %}


@register.simple_tag
def mark(standing: str) -> SafeString:
    """The mark of a standing ("ready for sign-off"). Always shown beside its words, so it is hidden from readers."""
    return format_html(
        '<svg class="mark" aria-hidden="true"><use href="{}#{}"/></svg>', static("marks.svg"), SYMBOLS[standing]
    )


@register.simple_tag
def cells(row: Any, out_of_use: Container[int], query: str, show: str, stays_off: bool = False) -> SafeString:
    """The cells of one row of a register: a thousand of them as template nodes take ten times as long as the rule.

    Each leads to its reasons. `out`: the machines that are tagged out; where the register shows only some (`show`), the
    others are faint; where no machine runs today (`stays_off`), no cell shows a wheel.
    """
    looks: dict[tuple[str, bool, bool, bool], tuple[str, str]] = {}
    student, after, html = int(row.student.pk), escape(query), []
    for cell in row.cells:
        machine, standing = int(cell.machine.pk), cell.answer.standing
        look = standing, bool(show) and not cell.stands_out, machine in out_of_use, bool(stays_off)
        if look not in looks:
            looks[look] = _look(*look)
        classes, words = looks[look]
        html.append(
            f'<td><a id="c{student}-{machine}" href="{student}/{machine}/{after}" class="{classes}">{words}</a></td>'
        )
    return SafeString("\n".join(html))


def _look(standing: str, faint: bool, idle: bool, off: bool) -> tuple[str, str]:
    """(CSS classes, what is in the cell). Only a wheel means go: none where a machine is out, or nothing runs."""
    classes = slug_of(standing) + (" faint" if faint else "") + (" idle" if idle else "")
    if idle or (off and standing == "cleared"):
        words = _("Out of use") if idle else _("No one may use it today")
        return classes, format_html('<span class="unseen">{}</span>', words)
    return classes, format_html('{}<span class="unseen">{}</span>', mark(standing), capfirst(_(standing)))


@register.simple_tag
def fresh_tap() -> str:
    """A key for one press of a button, where a page has many forms: `<input type="hidden" name="tap" value="...">`."""
    return str(uuid.uuid4())


PICTOGRAMS = Path(__file__).resolve().parents[3] / "static" / "pictograms"
CODE = re.compile(r"[a-z-]+")
# What is struck through in black on paper has the red ring and bar of a prohibition sign (ISO 7010) on a screen.
STRUCK = '<path stroke="currentColor" stroke-width="2.400" d="M1.500 1.500 22.500 22.500"/>'
FORBIDDEN = '<g class="ban"><circle cx="12" cy="12" r="11"/><path d="M4.200 4.200 19.800 19.800"/></g>'
TITLE = re.compile(r"<title>.*?</title>")


@register.simple_tag
def pictogram(code: str) -> SafeString:
    """A pictogram of static/pictograms, drawn in the ink of the page; it always has its words beside it. Nothing for a
    code without a drawing."""
    return _drawn(code)


@lru_cache(maxsize=64)
def _drawn(code: str) -> SafeString:
    path = PICTOGRAMS / f"{code}.svg"
    if not CODE.fullmatch(code) or not path.is_file():
        return SafeString("")
    svg = TITLE.sub("", path.read_text(encoding="utf-8")).strip()
    svg = svg.replace(STRUCK, FORBIDDEN).replace('stroke="#fff"', 'class="gap"')
    return SafeString(svg.replace("<svg ", '<svg class="picto" aria-hidden="true" ', 1))


@register.filter
def worn(code: str) -> str:
    """ "Goggles on": what a piece of protective equipment is called beside its pictogram."""
    return _(PROTECT[code]) if code in PROTECT else code


@register.filter
def day(value: date | datetime | None, zone: str = "") -> str:
    """ "October 12, 2026", at the school when a zone is given."""
    if isinstance(value, datetime) and zone:
        value = value.astimezone(ZoneInfo(zone))
    return written_day(value)


@register.filter
def moment(value: datetime | None, zone: str) -> str:
    """ "October 12, 2026, 10:42 AM", at the school."""
    return written_moment(value, zone) if value else ""


@register.filter
def clock(value: datetime | None, zone: str) -> str:
    """ "10:42 AM", at the school."""
    return written_time(value.astimezone(ZoneInfo(zone))) if value else ""


@register.filter
def clock_seconds(value: datetime | None, zone: str) -> str:
    """ "10:42:08 AM", at the school."""
    return written_time(value.astimezone(ZoneInfo(zone)), seconds=True) if value else ""


@register.filter
def hour(stored: str) -> str:
    """ "10:42 AM" of a time that was written down as "10:42"."""
    return written_time(time.fromisoformat(stored))


@register.filter
def distance(metres: float | str) -> str:
    """ "10 ft": how far away print is read."""
    return written_distance(float(metres))


@register.filter
def minutes_until(value: datetime, later: datetime) -> int:
    """Whole minutes from one moment to another; nothing if the clock was set back between them."""
    return max(0, int((later - value).total_seconds()) // 60)


@register.filter
def clock_after(value: datetime | None, zone: str) -> str:
    """ "10:43 AM" of a wait that is over at 10:42:08."""
    return clock(full_minute_after(value), zone) if value else ""


@register.filter
def last_day(value: datetime | None, zone: str) -> str:
    """The last day on which something counts that ends at this moment: an end at midnight is the day before."""
    return day(value - timedelta(seconds=1), zone) if value else ""


@register.filter
def called(student: Person, names: dict[int, str]) -> str:
    """How the student is named among others, by `short_names_of` or `full_names_of`; alone, by the full name."""
    return names.get(student.pk, student.name)


@register.filter
def slug_of(standing: str) -> str:
    """ "on hold" → "on-hold": the CSS class of a standing."""
    return standing.replace(" ", "-")
