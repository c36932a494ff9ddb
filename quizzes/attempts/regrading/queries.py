"""Whom a corrected key would concern. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from quizzes.attempts.regrading.rules import GAINS, OLD_KEY, STILL_MISSED, GradedAnswers, effect
from quizzes.banks.editions.texts import text_of
from quizzes.facts import BankText
from quizzes.figures.loading import contributions_of
from quizzes.figures.rules.contributions import key_of, wording
from quizzes.models import Attempt, Bank, Edition
from shopsafe.school import access
from shopsafe.school.models import Person
from shopsafe.school.naming.rules.ordering import people_in_order


@dataclass(frozen=True, kw_only=True)
class Concerned:
    """The attempts that a corrected key concerns, the earliest first; of a student who gains, one attempt alone."""

    gains: tuple[Attempt, ...]
    still_missed: tuple[Attempt, ...]
    old_key: tuple[Attempt, ...]


def concerned(bank: Bank, latest: Edition, question: str, key_after: str) -> Concerned:
    """Return whom it concerns that `key_after` is the key of a question, as the latest edition words it."""
    text = text_of(latest).bank
    key_before = key_of(text.question_by_code[question], text)
    groups: dict[str, dict[int, Attempt]] = defaultdict(dict)
    for attempt, answers in _answers(bank, text, question):
        outcome = effect(answers, question, key_before, key_after)
        if outcome != GAINS or attempt.student_id not in groups[GAINS]:
            groups[outcome].setdefault(attempt.student_id, attempt)
    gainers = groups[GAINS]
    still = {pk: attempt for pk, attempt in groups[STILL_MISSED].items() if pk not in gainers}
    return Concerned(
        gains=tuple(gainers.values()),
        still_missed=tuple(still.values()),
        old_key=tuple(attempt for pk, attempt in groups[OLD_KEY].items() if pk not in gainers and pk not in still),
    )


def _answers(bank: Bank, text: BankText, question: str) -> Iterator[tuple[Attempt, GradedAnswers]]:
    """Yield the attempts that count and met the question in this wording, with what a regrade asks of each."""
    present = wording(text, question)
    rows = Attempt.objects.filter(bank=bank, practice=False)
    passes = _passes(bank)
    for attempt, parts in contributions_of(rows):
        part = next((part for part in parts if part.question == question and part.wording == present), None)
        if part is None or attempt.handed_in_at is None:
            continue
        yield (
            attempt,
            GradedAnswers(
                picked=part.picked,
                wrong=frozenset(attempt.missed_questions),
                passed_later=any(at >= attempt.handed_in_at for at in passes.get(attempt.student_id, ())),
            ),
        )


def _passes(bank: Bank) -> dict[int, list[datetime]]:
    """Return student → the moments of perfect attempts that count, regrades among them."""
    passes: dict[int, list[datetime]] = defaultdict(list)
    rows = Attempt.objects.filter(bank=bank, perfect=True, practice=False, voided_at=None)
    for student, handed_in_at in rows.values_list("student_id", "handed_in_at"):
        if handed_in_at is not None:
            passes[student].append(handed_in_at)
    return passes


def in_reach(person: Person, attempts: tuple[Attempt, ...]) -> tuple[list[Person], int]:
    """Return the students of these attempts whom the person teaches, and how many others there are."""
    students: QuerySet[Person] = access.students_for(person).filter(pk__in=[a.student_id for a in attempts])
    known = people_in_order(students)
    return known, len(attempts) - len(known)
