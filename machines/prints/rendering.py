"""Makes cards, charts and pocket cards: what they say now, under which code, as PDF. Pages and commands share this.

Each is drawn first and recorded after, so that a print that fails leaves no record behind: `draw_...` gives the sheet
with its code on it, `record_codes` records that.
"""

import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.conf import settings
from django.urls import reverse

from machines.models import Machine, Print
from machines.prints.acts import CodedPrint, PrintRequest, give_codes, record_prints
from machines.prints.sheets.handouts import pocket_card, pocket_cards
from machines.prints.sheets.wall import ShopSnapshot
from shopsafe.language.kept import together
from shopsafe.language.messages import _
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.paper import handouts, prints
from shopsafe.paper.press.render import PrintFailed
from shopsafe.paper.rules import sheets
from shopsafe.paper.setting import FinishedPrint
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section

CARD, CHART, POCKET = Print.SheetKind.WALL_CARD, Print.SheetKind.WALL_CHART, Print.SheetKind.POCKET_CARD


@dataclass(frozen=True)
class RenderedPrint:
    """Sheets that are made, and the codes on them, which are not recorded yet."""

    printed: FinishedPrint
    coded: tuple[CodedPrint, ...]


def record_codes(rendered: RenderedPrint, *, by: Person | None, at: datetime | None = None) -> FinishedPrint:
    """Records the codes; only then may the sheets be handed over. Refused: access.not-yours, print.race."""
    record_prints(rendered.coded, by=by, at=at)
    return rendered.printed


@contextmanager
def nothing_recorded() -> Iterator[None]:
    """A print that fails says that it left nothing behind."""
    try:
        yield
    except PrintFailed as failed:
        unchanged = _("Nothing was recorded: posted cards and pocket cards stay valid.")
        raise PrintFailed(failed.code, together([failed.sentence, unchanged]), failed.status) from failed


def draw_cards(
    snapshot: ShopSnapshot,
    machines: Sequence[Machine],
    sections: Sequence[Section],
    papers: Sequence[sheets.Paper],
    *,
    by: Person | None,
    metres: float = 3.0,
) -> RenderedPrint:
    """The wall cards of machines for these classes, or for the whole shop if there are none.

    `papers`: the paper, and larger ones that may be taken where names don't read from `meters`.
    """
    card_rows = [(machine, *snapshot.card(machine, sections)) for machine in machines]
    requests = [
        PrintRequest(CARD, snapshot.shop, papers[0].code, shows, sections, machine) for machine, _, shows in card_rows
    ]
    coded = give_codes(requests, by=by, at=snapshot.at, choose=secrets.choice)
    cards = [
        replace(
            card,
            code=coded_print.row.code,
            url=check_address(coded_print.row.code),
            printed=printed_on(coded_print.row),
        )
        for (_, card, _), coded_print in zip(card_rows, coded, strict=True)
    ]
    with nothing_recorded():
        return RenderedPrint(prints.wall_cards(cards, *papers, metres=metres), tuple(coded))


def draw_chart(
    snapshot: ShopSnapshot, section: Section, paper: sheets.Paper, *, by: Person | None, metres: float = 3.0
) -> RenderedPrint:
    """The wall chart of a class. The page behind its code shows the logbook's checkpoint of this moment."""
    chart, shows = snapshot.chart(section)
    print_request = PrintRequest(CHART, snapshot.shop, paper.code, shows, [section])
    (coded,) = give_codes([print_request], by=by, at=snapshot.at, choose=secrets.choice)
    take_checkpoint()
    chart = replace(chart, code=coded.row.code, url=check_address(coded.row.code), printed=printed_on(coded.row))
    with nothing_recorded():
        return RenderedPrint(prints.wall_chart(chart, paper, metres=metres), (coded,))


def draw_pocket_cards(
    snapshot: ShopSnapshot,
    section: Section,
    students: Sequence[Person],
    paper: sheets.Paper,
    *,
    backs: bool,
    by: Person | None,
) -> RenderedPrint:
    """Pocket cards of these students of a class, each under a code of its own."""
    card_rows = [(student, *pocket_card(snapshot, student)) for student in students]
    requests = [
        PrintRequest(POCKET, section.shop, paper.code, shows, [section], student=student.pk)
        for student, _, shows in card_rows
    ]
    coded = give_codes(requests, by=by, at=snapshot.at, choose=secrets.choice)
    cards = [
        replace(card, code=coded_print.row.code, url=check_address(coded_print.row.code))
        for (_, card, _), coded_print in zip(card_rows, coded, strict=True)
    ]
    with nothing_recorded():
        sheet = pocket_cards(snapshot, section, cards, backs=backs)
        return RenderedPrint(handouts.pocket_cards(sheet, paper), tuple(coded))


def printed_on(row: Print) -> date:
    """The day that is on the sheet, at the school."""
    return local_day(row.printed_at, row.shop.school.time_zone)


def check_address(code: str) -> str:
    """Where the code on a sheet leads, in capitals: a QR code of capitals is one size smaller."""
    return f"{settings.SITE_URL}{reverse('print-check', args=[code])}".upper()
