"""Makes a card or a chart: what it says now, under which code, as PDF. Pages and commands share this."""

import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from django.conf import settings
from django.urls import reverse

from machines.acts.prints import record_print
from machines.cards import ShopThen, shop_then
from machines.models import Machine, Print
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.paper import prints, sheets
from shopsafe.paper.setting import Printed
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section

CARD, CHART = Print.Sheet.WALL_CARD, Print.Sheet.WALL_CHART
LARGER = {"letter": sheets.TABLOID, "a4": sheets.A3}


def print_card(
    *,
    machine: Machine,
    sections: Sequence[Section],
    papers: Sequence[sheets.Paper],
    by: Person | None,
    at: datetime,
    metres: float = 3.0,
    then: ShopThen | None = None,
) -> tuple[Print, Printed]:
    """The wall card of a machine for these classes, or for the whole shop if there are none.

    `papers`: the paper, and larger ones that may be taken where names don't read from `metres`.
    """
    card, shows = (then or shop_then(machine.shop, at)).card(machine, sections)
    row = record_print(
        sheet=CARD,
        shop=machine.shop,
        machine=machine,
        sections=sections,
        paper=papers[0].code,
        shows=shows,
        by=by,
        at=at,
        choose=secrets.choice,
    )
    card = replace(card, code=row.code, url=check_address(row.code), printed=printed_on(row))
    return row, prints.wall_card(card, *papers, metres=metres)


def print_chart(
    *,
    section: Section,
    paper: sheets.Paper,
    by: Person | None,
    at: datetime,
    metres: float = 3.0,
    then: ShopThen | None = None,
) -> tuple[Print, Printed]:
    """The wall chart of a class, with the checkpoint of the logbook as it stands after this print is recorded."""
    chart, shows = (then or shop_then(section.shop, at)).chart(section)
    row = record_print(
        sheet=CHART,
        shop=section.shop,
        machine=None,
        sections=[section],
        paper=paper.code,
        shows=shows,
        by=by,
        at=at,
        choose=secrets.choice,
    )
    mark = take_checkpoint(at=at)
    chart = replace(
        chart,
        code=row.code,
        url=check_address(row.code),
        printed=printed_on(row),
        checkpoint=sheets.Checkpoint(mark.size, bytes(mark.root).hex()),
    )
    return row, prints.wall_chart(chart, paper, metres=metres)


def printed_on(row: Print) -> date:
    """The day that stands on the sheet, at the school."""
    return local_day(row.printed_at, row.shop.school.time_zone)


def check_address(code: str) -> str:
    """Where the code on a sheet leads, in capitals: a QR code of capitals is one size smaller."""
    return f"{settings.SITE_URL}{reverse('print-check', args=[code])}".upper()
