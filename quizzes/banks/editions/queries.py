"""The banks of a school and their editions, for pages and for the rule of clearance."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from typing import Any

from django.db import connection
from django.db.models import Exists, OuterRef, QuerySet, Subquery

from quizzes.access import banks_for
from quizzes.banks.editions.approved import is_accepted
from quizzes.banks.editions.texts import text_of
from quizzes.banks.rules.counting import Publication
from quizzes.models import Acceptance, Bank, Edition
from quizzes.questions.translating import languages
from shopsafe.database.plain_rows import moment, plain_rows
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused


def bank_list(teacher: Person) -> QuerySet[Bank]:
    """The school's banks with `latest` (the number of the last edition, or None), `latest_at` and `accepted`."""
    newest = Edition.objects.filter(bank=OuterRef("pk")).order_by("-number")
    standing = Acceptance.objects.filter(edition=OuterRef("latest_pk"), taken_back_at=None)
    numbers = {"latest": "number", "latest_at": "published_at", "latest_pk": "pk"}
    return (
        banks_for(teacher)
        .annotate(**{name: Subquery(newest.values(field)[:1]) for name, field in numbers.items()})
        .annotate(accepted=Exists(standing))
        .defer("draft")
        .order_by("subject")
    )


def latest_editions(person: Person, at: datetime) -> QuerySet[Edition]:
    """The edition that is out of each bank of the asker's school, with `accepted`, by subject; content not loaded."""
    newest = Edition.objects.filter(bank=OuterRef("bank"), published_at__lte=at).order_by("-number")
    editions = access.in_school(Edition.objects.select_related("bank"), person)
    editions = editions.annotate(accepted=is_accepted(at))  # type: ignore[no-redef]  # the model declares it for pages
    return (
        editions.filter(pk=Subquery(newest.values("pk")[:1])).defer("content", "bank__draft").order_by("bank__subject")
    )


def languages_of(person: Person, at: datetime) -> set[str]:
    """The languages that some bank of the school has beside its own."""
    return {code for edition in latest_editions(person, at) for code in languages(text_of(edition).bank)}


def edition_to_take(student: Person, bank: int, at: datetime) -> Edition:
    """The edition a new attempt is made from. 404 for a bank of another school, Refused where none is published."""
    edition = latest_editions(student, at).filter(bank=bank).first()
    if edition is not None:
        return edition
    access.one_of(access.in_school(Bank.objects.all(), student), pk=bank)
    raise Refused("attempt.no-edition", _("This quiz is not ready yet. Ask your teacher."))


# One row an edition that was out then and an acceptance given by then; without one, the last two columns are empty. The
# last is the moment at which it was taken back, if that had come.
EDITIONS = """
SELECT edition.bank_id, edition.number, CAST(edition.published_at AS text), edition.earlier_passes_count,
       CAST(edition.earlier_passes_until AS text), edition.id, edition.digest, given.id,
       CASE WHEN given.taken_back_at <= %(at)s THEN CAST(given.taken_back_at AS text) END
  FROM quizzes_edition edition
  LEFT JOIN quizzes_acceptance given ON given.edition_id = edition.id AND given.at <= %(at)s
 WHERE edition.bank_id IN ({ids}) AND edition.published_at <= %(at)s
"""


SCHOOL_EDITIONS = EDITIONS.replace("edition.bank_id IN", "edition.school_id IN")

type Publications = Mapping[int, Sequence[Publication]]  # by bank, oldest first


def publications(bank_ids: Collection[int], at: datetime) -> Publications:
    """The editions of these banks that were out at `at`."""
    return publications_in(plain_rows(EDITIONS, bank_ids, at))


def publications_in(edition_rows: Iterable[tuple[Any, ...]]) -> Publications:
    """The editions in rows of EDITIONS, or of SCHOOL_EDITIONS: those of every bank of a school."""
    by_bank: dict[int, list[Publication]] = defaultdict(list)
    in_order = sorted(edition_rows, key=itemgetter(0, 1))
    for (bank, number), rows in groupby(in_order, key=itemgetter(0, 1)):
        acceptances = list(rows)
        _, _, published_at, count, until, key, digest, _, _ = acceptances[0]
        endings = [moment(taken_back) if taken_back else None for *_, given, taken_back in acceptances if given]
        publication = Publication(
            number=number,
            at=moment(published_at),
            earlier_count=bool(count),
            earlier_until=moment(until) if until else None,
            accepted=None in endings,
            taken_back_at=max((ending for ending in endings if ending), default=None),
            key=key,
            digest=digest,
        )
        by_bank[bank].append(publication)
    return by_bank


def editions_in(school_id: int, published: Publications) -> dict[int, Edition]:
    """Bank → the edition that is out, as `latest_editions` gives it, with as much of it as leads to its text. No
    query."""
    columns = ("id", "school_id", "bank_id", "number", "digest", "published_at")
    editions: dict[int, Edition] = {}
    for bank, editions_of_bank in published.items():
        latest = editions_of_bank[-1]
        values = (latest.key, school_id, bank, latest.number, latest.digest, latest.at)
        editions[bank] = Edition.from_db(connection.alias, columns, values)
        editions[bank].accepted = latest.accepted
    return editions
