"""Loads graded attempts for figures, a few hundred at a time."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from quizzes.banks.editions.texts import text_of
from quizzes.figures.rules.contributions import Contribution, GradedAttempt, contributions
from quizzes.models import Answer, Attempt
from quizzes.questions.form_data import lines_of

AT_A_TIME = 300
FIELDS = (
    "id",
    "form",
    "started_at",
    "handed_in_at",
    "missed_questions",
    "paper_code",
    "school_id",
    "student_id",
    "bank_id",
    "edition__digest",
    "edition__number",
    "edition__bank_id",
)

Saved = Mapping[str, tuple[Any, datetime]]


def counted(attempts: QuerySet[Attempt]) -> QuerySet[Attempt]:
    """Return the attempts that figures are made of: handed in, not voided, and no regrade of another."""
    return attempts.filter(handed_in_at__isnull=False, voided_at__isnull=True, regrade_of=None)


def contributions_of(attempts: QuerySet[Attempt]) -> Iterator[tuple[Attempt, tuple[Contribution, ...]]]:
    """Yield each counted attempt with what it tells about its questions, in the order of handing in."""
    rows = counted(attempts).select_related("edition").only(*FIELDS).order_by("handed_in_at", "pk")
    batch: list[Attempt] = []
    for attempt in rows.iterator(chunk_size=AT_A_TIME):
        batch.append(attempt)
        if len(batch) == AT_A_TIME:
            yield from _batch(batch)
            batch = []
    yield from _batch(batch)


def _batch(batch: list[Attempt]) -> Iterator[tuple[Attempt, tuple[Contribution, ...]]]:
    saved: dict[UUID, dict[str, tuple[Any, datetime]]] = defaultdict(dict)
    rows = Answer.objects.filter(attempt_id__in=[attempt.pk for attempt in batch])
    for attempt_id, question, response, saved_at in rows.values_list("attempt_id", "question", "response", "saved_at"):
        saved[attempt_id][question] = (response, saved_at)
    for attempt in batch:
        yield attempt, contributions_of_one(attempt, saved[attempt.pk])


def contributions_of_one(attempt: Attempt, saved: Saved) -> tuple[Contribution, ...]:
    """Return what one handed-in attempt tells, from its row and its saved answers."""
    return contributions(text_of(attempt.edition).bank, graded(attempt, saved))


def graded(attempt: Attempt, saved: Saved) -> GradedAttempt:
    drawn_from = attempt.form["from"]
    return GradedAttempt(
        lines=lines_of(attempt.form),
        responses={question: response for question, (response, _) in saved.items()},
        saved_at={question: at for question, (_, at) in saved.items()},
        started_at=attempt.started_at,
        wrong=frozenset(attempt.missed_questions),
        first=not drawn_from["seen"],
        studied=frozenset(drawn_from["missed_rules"]),
        seen=frozenset(drawn_from["seen"]),
        timed=not attempt.on_paper,
    )
