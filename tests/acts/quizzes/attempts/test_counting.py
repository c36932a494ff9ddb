"""The counts of answers, kept by the acts that hand in and void: the same as a recount of all attempts."""

import random
from collections.abc import Callable, Iterator

import pytest
from django.db import transaction

from quizzes.attempts.acts import hand_in, start_attempt, void_attempt
from quizzes.figures import counting
from quizzes.figures.rules.counts import Counts
from quizzes.models import AnswerCount, Attempt, Bank, CountedAttempt, RuleCount, ScoreCount
from shopsafe.school.models import Person
from tests.cast import Cast, make_cast
from tests.factories.at_once import at_once
from tests.factories.banks import AT, DAY, MINUTE, answer_all, bank_text, kinds_text, learn, published, take
from tests.factories.people import EnrollmentFactory


def kept_equals_recount(bank: Bank) -> Counts:
    kept = counting.kept(bank.pk)
    assert kept == counting.recount(bank.pk, bank.school.time_zone)
    return kept


def test_hand_in_counts_each_answer_rule_and_score(cast: Cast) -> None:
    bank = published(cast.teacher)
    take(cast.student, bank, wrong=["r0"])
    counts = kept_equals_recount(bank)
    assert sum(tally.students for tally in counts.answers.values()) == 3
    assert sorted((key.rule, met, missed) for key, (met, missed) in counts.rules.items()) == [
        ("r0", 1, 1),
        ("r1", 1, 0),
        ("r2", 1, 0),
    ]
    ((score, students),) = counts.scores.items()
    assert (score, students) == ((202609, 3, 2), 1)


def test_month_is_that_of_the_school_day(cast: Cast) -> None:
    """Two in the morning in London on October 1 is still September in Chicago."""
    bank = published(cast.teacher)
    take(cast.student, bank, at=AT.replace(month=10, day=1, hour=2))
    assert {key.month for key in kept_equals_recount(bank).scores} == {202609}


def test_every_kind_of_question_is_counted(cast: Cast) -> None:
    bank = published(cast.teacher, kinds_text())
    take(cast.student, bank)
    take(cast.classmate, bank, wrong=["guard-low"])
    counts = kept_equals_recount(bank)
    assert {key.right for key in counts.answers} == {True, False}


def test_later_attempts_add_no_first_one(cast: Cast) -> None:
    bank = published(cast.teacher)
    learn(take(cast.student, bank, wrong=["r0"]), AT + 10 * MINUTE)
    take(cast.student, bank, at=AT + DAY)
    counts = kept_equals_recount(bank)
    assert sum(counts.scores.values()) == 1
    later = [key for key in counts.answers if not key.first]
    assert {(key.picked, key.asked) for key in later} == {("", 0)}
    assert any(key.after_study for key in later)


def test_void_takes_the_attempt_out_again(cast: Cast) -> None:
    bank = published(cast.teacher)
    take(cast.classmate, bank)
    before = counting.kept(bank.pk)
    attempt = take(cast.student, bank, wrong=["r1"])
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="A fire drill.", at=AT + DAY)
    assert kept_equals_recount(bank) == before
    assert not CountedAttempt.objects.filter(attempt=attempt).exists()


def test_void_of_an_open_attempt_changes_no_count(cast: Cast) -> None:
    bank = published(cast.teacher)
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="A fire drill.", at=AT)
    assert kept_equals_recount(bank) == Counts()


def test_second_hand_in_counts_nothing_more(cast: Cast) -> None:
    bank = published(cast.teacher)
    attempt = take(cast.student, bank)
    hand_in(student=cast.student, attempt=attempt.pk, at=AT + DAY)
    assert sum(kept_equals_recount(bank).scores.values()) == 1


def forget(bank: Bank) -> None:
    """As a school whose attempts are older than the counts."""
    CountedAttempt.objects.all().delete()
    for model in (AnswerCount, RuleCount, ScoreCount):
        model.objects.filter(bank=bank).delete()


def test_attempts_from_before_the_counts_are_added_once(cast: Cast) -> None:
    bank, zone = published(cast.teacher), cast.school.time_zone
    take(cast.student, bank)
    forget(bank)
    take(cast.classmate, bank)
    with transaction.atomic():
        assert counting.catch_up(bank.pk, zone) == 1
        assert counting.catch_up(bank.pk, zone) == 0
    assert sum(kept_equals_recount(bank).scores.values()) == 2


def test_void_of_an_attempt_from_before_the_counts_takes_nothing_away(cast: Cast) -> None:
    bank = published(cast.teacher)
    attempt = take(cast.student, bank)
    forget(bank)
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="A fire drill.", at=AT + DAY)
    assert kept_equals_recount(bank) == Counts()


@pytest.mark.parametrize("seed", range(3))
def test_kept_counts_equal_a_recount_after_any_history(cast: Cast, seed: int) -> None:
    """A class takes a quiz for a week: passes, misses, studies, tries again; one attempt in six is voided."""
    dice = random.Random(seed)
    bank = published(cast.teacher, bank_text(rules=4, each=3, ask=5))
    students = [cast.student, cast.classmate, *(EnrollmentFactory(section=cast.section).student for _ in range(4))]
    for day in range(4):
        for student in students:
            for attempt in tries(student, bank, day, dice):
                if dice.random() < 1 / 6:
                    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="A fire drill.", at=AT + (day + 1) * DAY)
    counts = kept_equals_recount(bank)
    assert sum(counts.scores.values()) <= len(students)
    assert Attempt.objects.filter(voided_at=None).count() == CountedAttempt.objects.count() > 5


def tries(student: Person, bank: Bank, day: int, dice: random.Random) -> Iterator[Attempt]:
    """One attempt of the day, and its studying if it was missed."""
    if Attempt.objects.filter(student=student, perfect=True, voided_at=None).exists():
        return
    at = AT + day * DAY
    wrong = [f"r{number}" for number in range(4) if dice.random() < 0.3]
    attempt = take(student, bank, at=at, wrong=wrong)
    learn(attempt, at + 10 * MINUTE)
    yield attempt


# ---- two at once ----------------------------------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
def test_two_hands_at_once_are_both_counted() -> None:
    """Six students of a class hand in the same answers at one moment, while a seventh attempt is voided."""
    cast = make_cast()
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))  # everyone meets the same three questions
    voided = take(cast.student, bank, wrong=["r1"])
    students = [EnrollmentFactory(section=cast.section).student for _ in range(6)]
    attempts = [start_attempt(student=student, bank=bank.pk, at=AT) for student in students]
    for attempt in attempts:
        answer_all(attempt, AT + MINUTE, wrong=["r2"])

    def handing_in(attempt: Attempt) -> Callable[[], object]:
        return lambda: hand_in(student=attempt.student, attempt=attempt.pk, at=AT + 2 * MINUTE)

    def voiding() -> object:
        return void_attempt(by=cast.teacher, attempt=voided.pk, reason="A fire drill.", at=AT + 2 * MINUTE)

    assert at_once(*(handing_in(attempt) for attempt in attempts), voiding) == []
    counts = kept_equals_recount(bank)
    assert sum(counts.scores.values()) == 6
    assert max(tally.students for tally in counts.answers.values()) == 6
