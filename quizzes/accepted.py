"""Which editions a teacher accepts at a moment: parts of queries, and the banks that are practice only."""

from datetime import datetime

from django.db.models import Exists, OuterRef, Q, Subquery

from quizzes.models import Acceptance, Edition


def is_accepted(at: datetime) -> Exists:
    """Of an edition's row: a teacher had accepted its rules by `at`, and had not taken that back."""
    given = Acceptance.objects.filter(edition=OuterRef("pk"), at__lte=at)
    return Exists(given.filter(Q(taken_back_at=None) | Q(taken_back_at__gt=at)))


def last_taken_back(at: datetime) -> Subquery:
    """Of an edition's row: when its acceptance was last taken back by `at`, or None."""
    gone = Acceptance.objects.filter(edition=OuterRef("pk"), taken_back_at__lte=at).order_by("-taken_back_at")
    return Subquery(gone.values("taken_back_at")[:1])


def practice_only(school_id: int, at: datetime) -> frozenset[int]:
    """The banks of a school whose latest edition at `at` no teacher accepts. One query."""
    newest = Edition.objects.filter(bank=OuterRef("bank"), published_at__lte=at).order_by("-number")
    latest = Edition.objects.filter(school=school_id, pk=Subquery(newest.values("pk")[:1]))
    return frozenset(latest.exclude(is_accepted(at)).order_by().values_list("bank_id", flat=True))


def standing_acceptance(edition: Edition) -> Acceptance | None:
    """The acceptance of an edition that was not taken back."""
    return edition.acceptances.filter(taken_back_at=None).select_related("by").first()
