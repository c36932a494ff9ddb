"""What is asked of banks and attempts, set-wise: facts for machines, and rows that start from the asker."""

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime

from django.db.models import Q

from quizzes.counting import Publication, counts_until
from quizzes.facts import Pass
from quizzes.models import Attempt, Edition


def passes(student_ids: Collection[int], at: datetime) -> tuple[Pass, ...]:
    """Every perfect attempt of these students that stood at `at`, as facts, also those that no longer count.

    Two queries, however many students. What was voided or published after `at` is not known yet at `at`.
    """
    rows = list(
        Attempt.objects.filter(student_id__in=list(student_ids), perfect=True, handed_in_at__lte=at)
        .filter(Q(voided_at__isnull=True) | Q(voided_at__gt=at))
        .order_by("handed_in_at", "pk")
        .values_list("student_id", "bank_id", "edition__number", "handed_in_at", "entry_id", "purpose")
    )
    published = publications({bank for _, bank, *_ in rows}, at) if rows else {}
    return tuple(
        Pass(
            student=student,
            bank=bank,
            edition=number,
            at=passed_at,  # type: ignore[arg-type]  # a perfect attempt has been handed in
            counts_until=counts_until(number, published[bank]),
            entry=entry,
            refresher=purpose == Attempt.Purpose.REFRESHER,
        )
        for student, bank, number, passed_at, entry, purpose in rows
    )


def tried(student_ids: Collection[int], at: datetime) -> set[tuple[int, int]]:
    """Each (student, bank) with an attempt begun by `at`, whatever came of it. One query."""
    begun = Attempt.objects.filter(student_id__in=list(student_ids), started_at__lte=at)
    return set(begun.order_by().values_list("student_id", "bank_id").distinct())


def publications(bank_ids: Collection[int], at: datetime) -> dict[int, list[Publication]]:
    """The editions of these banks that were out at `at`, oldest first."""
    found: dict[int, list[Publication]] = defaultdict(list)
    rows = Edition.objects.filter(bank_id__in=list(bank_ids), published_at__lte=at).order_by("bank_id", "number")
    for bank, number, published_at, count, until in rows.values_list(
        "bank_id", "number", "published_at", "earlier_passes_count", "earlier_passes_until"
    ):
        found[bank].append(Publication(number=number, at=published_at, earlier_count=count, earlier_until=until))
    return found
