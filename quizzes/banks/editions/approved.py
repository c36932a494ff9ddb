"""Which editions a teacher accepts at a moment: parts of queries, and the banks that are practice only."""

from datetime import datetime

from django.db.models import Exists, OuterRef, Q

from quizzes.models import Acceptance, Edition
from shopsafe.database.plain_rows import plain_rows


def is_accepted(at: datetime) -> Exists:
    """Of an edition's row: a teacher had accepted its rules by `at`, and had not taken that back."""
    acceptances = Acceptance.objects.filter(edition=OuterRef("pk"), at__lte=at)
    return Exists(acceptances.filter(Q(taken_back_at=None) | Q(taken_back_at__gt=at)))


# The latest edition of each bank of the schools, where no acceptance of it stood then.
PRACTICE_ONLY = """
SELECT edition.bank_id
  FROM quizzes_edition edition
 WHERE edition.school_id IN ({ids}) AND edition.published_at <= %(at)s
   AND NOT EXISTS (SELECT 1 FROM quizzes_edition later WHERE later.bank_id = edition.bank_id
                    AND later.number > edition.number AND later.published_at <= %(at)s)
   AND NOT EXISTS (SELECT 1 FROM quizzes_acceptance given WHERE given.edition_id = edition.id
                    AND given.at <= %(at)s AND (given.taken_back_at IS NULL OR given.taken_back_at > %(at)s))
"""


def practice_only(school_id: int, at: datetime) -> frozenset[int]:
    """The banks of a school whose latest edition at `at` no teacher accepts. One query."""
    return frozenset(bank for (bank,) in plain_rows(PRACTICE_ONLY, [school_id], at))


def current_approval(edition: Edition) -> Acceptance | None:
    """The acceptance of an edition that was not taken back."""
    return edition.acceptances.filter(taken_back_at=None).select_related("by").first()
