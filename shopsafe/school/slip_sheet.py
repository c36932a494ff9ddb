"""The slips of a class as a printed sheet: who, under which name, with which code, and a code to scan."""

from collections.abc import Sequence
from datetime import datetime
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from shopsafe.paper.codes import qr_side_mm, qr_svg
from shopsafe.paper.render import render_pdf
from shopsafe.paper.sheets import Slip, Slips
from shopsafe.school.acts.people import IssuedSlip
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Section
from shopsafe.school.names import plain
from shopsafe.school.slips import printed

A_PAGE = 6
WIDEST_SQUARE = 53.0  # mm


def slips_pdf(section: Section, slips: Sequence[IssuedSlip], *, at: datetime) -> bytes:
    """Letter sheets of six slips to cut apart, in the order given."""
    sheet = Slips(
        scope=section.name,
        address=_address().split("://")[-1],
        slips=tuple(_slip(slip) for slip in slips),
        printed=local_day(at, section.school.time_zone),
        demo=section.school.is_demo,
        school=section.school.name,
    )
    drawn = [(slip, _square(slip)) for slip in sheet.slips]
    pages = [drawn[start : start + A_PAGE] for start in range(0, len(drawn), A_PAGE)]
    title = f"Sign-in slips, {section.name}"
    return render_pdf("school/paper/slips.html", {"sheet": sheet, "pages": pages}, title=title)


def _address() -> str:
    return f"{settings.SITE_URL}{reverse('sign-in')}"


def _slip(slip: IssuedSlip) -> Slip:
    return Slip(slip.student.name, slip.student.sign_in_name, printed(slip.code), _url(slip.student.sign_in_name))


def _url(sign_in_name: str) -> str:
    """The sign-in page with the name filled in, in plain letters, since accents make the square larger.

    The code is not in it: a photo lets nobody in. A very long name is left out, so that the square fits.
    """
    url = f"{_address()}?{urlencode({'name': plain(sign_in_name).title()})}"
    return url if qr_side_mm(url) <= WIDEST_SQUARE else _address()


def _square(slip: Slip) -> SafeString:
    drawing = qr_svg(slip.url, says=f"Sign-in page for {slip.sign_in_name}")
    return mark_safe(drawing)  # noqa: S308  drawn by us, text escaped there
