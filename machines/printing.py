"""Makes cards, charts and pocket cards: what they say now, under which code, as PDF. Pages and commands share this."""

import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from django.conf import settings
from django.urls import reverse

from machines import handing_out
from machines.acts.prints import record_pocket_cards, record_print
from machines.cards import ShopThen, shop_then
from machines.models import Machine, Print
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.paper import handouts, prints, sheets
from shopsafe.paper.letters import all_drawable
from shopsafe.paper.setting import Printed
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section

CARD, CHART = Print.Sheet.WALL_CARD, Print.Sheet.WALL_CHART


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
    then = then or shop_then(machine.shop, at)
    row, card = record_card(then, machine, sections, papers[0], by)
    return row, prints.wall_card(card, *papers, metres=metres)


def record_card(
    then: ShopThen, machine: Machine, sections: Sequence[Section], paper: sheets.Paper, by: Person | None
) -> tuple[Print, sheets.WallCard]:
    """The card under its code, recorded and not yet drawn: what can't be drawn is not recorded either."""
    card, shows = then.card(machine, sections)
    all_drawable(card)
    row = record_print(
        sheet=CARD,
        shop=then.shop,
        machine=machine,
        sections=sections,
        paper=paper.code,
        shows=shows,
        by=by,
        at=then.at,
        choose=secrets.choice,
    )
    return row, replace(card, code=row.code, url=check_address(row.code), printed=printed_on(row))


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
    all_drawable(chart)
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


def print_pocket_cards(
    then: ShopThen, section: Section, students: Sequence[Person], paper: sheets.Paper, *, backs: bool, by: Person
) -> Printed:
    """Pocket cards of these students of a class, each under a code of its own."""
    made = {student.pk: handing_out.pocket_card(then, student) for student in students}
    all_drawable(*(card for card, _ in made.values()))
    shows = {student: shown for student, (_, shown) in made.items()}
    rows = record_pocket_cards(section=section, shows=shows, paper=paper.code, by=by, at=then.at, choose=secrets.choice)
    cards = [
        replace(card, code=rows[student].code, url=check_address(rows[student].code))
        for student, (card, _) in made.items()
    ]
    return handouts.pocket_cards(handing_out.pocket_cards(then, section, cards, backs=backs), paper)


def printed_on(row: Print) -> date:
    """The day that stands on the sheet, at the school."""
    return local_day(row.printed_at, row.shop.school.time_zone)


def check_address(code: str) -> str:
    """Where the code on a sheet leads, in capitals: a QR code of capitals is one size smaller."""
    return f"{settings.SITE_URL}{reverse('print-check', args=[code])}".upper()
