"""What is on the print of an edition for its reviewer, loaded from the records."""

from datetime import datetime

from quizzes.banks.editions.texts import text_of
from quizzes.banks.pictures.addresses import data_address
from quizzes.banks.reviews.sheet import ReviewSheet
from quizzes.banks.sources.queries import sources_of
from quizzes.models import Edition, Picture
from shopsafe.school.calendar import local_day


def sheet_of(edition: Edition, at: datetime) -> ReviewSheet:
    """Two queries: the school's name and zone, and the pictures."""
    text = text_of(edition)
    school = edition.school
    digests = {picture.digest for picture in text.pictures.values()}
    rows = Picture.objects.filter(school=school, digest__in=digests)
    return ReviewSheet(
        school=school.name,
        demo=school.is_demo,
        edition=edition.number,
        digest=edition.digest,
        published=local_day(edition.published_at, school.time_zone),
        printed=local_day(at, school.time_zone),
        text=text,
        pictures={row.digest: data_address(row.kind, bytes(row.content)) for row in rows},
        sources=tuple(sources_of(text.bank)),
    )
