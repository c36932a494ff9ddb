"""A shop that lets machines run under a substitute today."""

from datetime import date
from uuid import uuid4

from machines.models import SupervisingGrant
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section, SheetWords
from shopsafe.school.sheet_words.acts import set_words
from tests.cast import Cast
from tests.factories.machines import NOON

WORDS = {"runs": True, "call": ["Office: 204"], "notes": []}


def with_number(cast: Cast, **words: object) -> SheetWords:
    """The shop's substitute sheet has a number to call, so that it can be printed."""
    return set_words(shop=cast.shop, sheet="substitute", words=WORDS | words, instead_of=0, by=cast.teacher, at=NOON)


def granted(
    cast: Cast, section: Section | None = None, day: date | None = None, to: Person | None = None
) -> SupervisingGrant:
    """The substitute may supervise one class on a day, today if none is given."""
    return SupervisingGrant.objects.create(
        school=cast.school,
        section=section or cast.section,
        substitute=to or cast.substitute,
        day=day or local_day(NOON, cast.school.time_zone),
        by=cast.teacher,
        at=NOON,
        tap=uuid4(),
    )
