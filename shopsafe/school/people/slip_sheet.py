"""The slips of a class as a printed sheet: who, under which name, with which code, and a code to scan."""

from collections.abc import Sequence
from datetime import datetime
from ipaddress import ip_address
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.urls import reverse

from shopsafe.paper.codes import qr_side_mm
from shopsafe.paper.prints import slips_pdf
from shopsafe.paper.rules.sheets import Slip, Slips
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import school_moment
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.naming.rules.names import plain
from shopsafe.school.people.acts.students import IssuedSlip, issue_slips
from shopsafe.school.people.queries import students_of
from shopsafe.school.signing_in.rules.slips import printed

WIDEST_SQUARE = 49.0  # mm; more than half of a slip leaves the name no room


def drawn_slips(section: Section, students: Sequence[Person], *, by: Person) -> bytes:
    """New codes for these students as a PDF, drawn before a code is stored. Refused as in `issue_slips`."""
    sheets: list[bytes] = []

    def draw(slips: Sequence[IssuedSlip]) -> None:
        if slips:
            sheets.append(sheet_of_slips(section, slips, at=school_moment(section.school_id)))

    issue_slips(section=section, students=students, by=by, draw=draw)
    return sheets[0]


def sheet_of_slips(section: Section, slips: Sequence[IssuedSlip], *, at: datetime) -> bytes:
    """The PDF, in the order given."""
    names = full_names_of([*students_of(section), *(slip.student for slip in slips)])
    sheet = Slips(
        scope=section.name,
        address=urlsplit(settings.SITE_URL).netloc,
        slips=tuple(_slip(slip, names[slip.student.pk]) for slip in slips),
        printed=local_day(at, section.school.time_zone),
        demo=section.school.is_demo,
        school=section.school.name,
    )
    return slips_pdf(sheet)


def names_this_computer_alone() -> str:
    """The address that slips name, where no other device can reach it; empty where one can."""
    host = urlsplit(settings.SITE_URL).hostname or ""
    try:
        alone = ip_address(host).is_loopback
    except ValueError:
        alone = host == "localhost" or host.endswith(".localhost")
    return urlsplit(settings.SITE_URL).netloc if alone else ""


def _address() -> str:
    return f"{settings.SITE_URL}{reverse('sign-in')}"


def _slip(slip: IssuedSlip, name: str) -> Slip:
    return Slip(name, slip.student.sign_in_name, printed(slip.code), _url(slip.student.sign_in_name))


def _url(sign_in_name: str) -> str:
    """The sign-in page with the name filled in, in plain letters, since accents make the square larger.

    The code is not in it: a photo lets no one in. A very long name is left out, so that the square fits.
    """
    url = f"{_address()}?{urlencode({'name': plain(sign_in_name).title()})}"
    return url if qr_side_mm(url) <= WIDEST_SQUARE else _address()
