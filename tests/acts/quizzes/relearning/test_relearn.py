"""Relearning: each missed rule's card is read and recalled; the teacher releases after too many misses."""

import pytest
from django.http import Http404

from quizzes.attempts.acts import start_attempt, void_attempt
from quizzes.models import Attempt, Bank, Release, RuleRead
from quizzes.relearning.acts import open_card, recall_rule, release_student
from quizzes.relearning.opened_card import note_opened
from quizzes.relearning.queries import passes, step_of, waiting_for
from shopsafe.logbook.models import Listing
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, learn, published, take

LATER = AT + 10 * MINUTE


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher)


@pytest.fixture
def missed(cast: Cast, bank: Bank) -> Attempt:
    return take(cast.student, bank, wrong=["r1", "r2"])


def code_of(act: object, **what: object) -> str:
    with pytest.raises(Refused) as caught:
        act(**what)  # type: ignore[operator]
    return caught.value.code


def opened(missed: Attempt, rule: str, student: Person | None = None) -> RuleRead:
    """The card is opened, and about to be covered."""
    student = student or missed.student
    note = note_opened(student.pk, missed.pk, rule, LATER)
    return open_card(student=student, attempt=missed.pk, rule=rule, opened=note, at=LATER)


def kinds() -> list[str]:
    return list(Listing.objects.order_by("entry").values_list("kind", flat=True))


# ---- cards ----------------------------------------------------------------------------------------------------------


def test_a_card_is_opened_then_recalled(cast: Cast, missed: Attempt) -> None:
    read = opened(missed, "r1")
    assert read.recalled_at is None
    read = recall_rule(student=cast.student, attempt=missed.pk, rule="r1", word="The Guard", at=LATER + MINUTE)
    assert (read.recalled_at, read.tries) == (LATER + MINUTE, 1)
    assert kinds()[-1] == "rule.read"


def test_a_wrong_word_is_counted_and_does_not_do(cast: Cast, missed: Attempt) -> None:
    opened(missed, "r1")
    for _ in range(2):
        assert (
            recall_rule(student=cast.student, attempt=missed.pk, rule="r1", word="fence", at=LATER).recalled_at is None
        )
    assert RuleRead.objects.get().tries == 2
    assert "rule.read" not in kinds()


def test_second_review_of_a_rule_changes_nothing(cast: Cast, missed: Attempt) -> None:
    learn(missed, LATER)
    entries = len(kinds())
    learn(missed, LATER + MINUTE)
    assert set(RuleRead.objects.values_list("opened_at", "recalled_at")) == {(LATER, LATER)}
    assert len(kinds()) == entries


def test_a_covered_card_must_have_been_opened(cast: Cast, missed: Attempt) -> None:
    assert (
        code_of(recall_rule, student=cast.student, attempt=missed.pk, rule="r1", word="guard", at=LATER)
        == "card.not-opened"
    )


def test_only_missed_rules_have_cards(cast: Cast, missed: Attempt) -> None:
    for rule in ("r0", "made-up"):
        asked = {"student": cast.student, "attempt": missed.pk, "rule": rule, "opened": "", "at": LATER}
        assert code_of(open_card, **asked) == "card.not-missed"


def test_an_open_attempt_has_no_cards(cast: Cast, bank: Bank) -> None:
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    with pytest.raises(Http404):
        opened(attempt, "r1")


def test_cards_are_for_the_student_who_missed_them(cast: Cast, missed: Attempt) -> None:
    for person in (cast.classmate, cast.stranger_student):
        with pytest.raises(Http404):
            opened(missed, "r1", person)
    for person in (cast.teacher, cast.office, cast.substitute):
        assert code_of(opened, missed=missed, rule="r1", student=person) == "access.not-yours"
    assert not RuleRead.objects.exists()


def test_card_is_not_covered_when_the_note_is_of_another_card(cast: Cast, missed: Attempt) -> None:
    own, at = cast.student.pk, LATER
    notes = [
        "", "made up", note_opened(own, missed.pk, "r2", at), note_opened(own, "another attempt", "r1", at),
        note_opened(cast.classmate.pk, missed.pk, "r1", at), note_opened(own, missed.pk, "r1", at)[:-1] + "!",
    ]  # fmt: skip
    for note in notes:
        asked = {"student": cast.student, "attempt": missed.pk, "rule": "r1", "opened": note, "at": LATER}
        assert code_of(open_card, **asked) == "card.not-opened", note
    assert not RuleRead.objects.exists()


def test_cards_are_counted_until_the_last_is_recalled(cast: Cast, bank: Bank, missed: Attempt) -> None:
    for minutes, rule in enumerate(missed.missed_rules):
        assert step_of(missed, LATER).cards == 2 - minutes
        opened(missed, rule)
        recall_rule(student=cast.student, attempt=missed.pk, rule=rule, word="guard", at=LATER + minutes * MINUTE)
    step = step_of(missed, LATER + MINUTE)
    assert (step.code, step.checks) == ("check questions", 2)


# ---- release --------------------------------------------------------------------------------------------------------


@pytest.fixture
def stuck(cast: Cast, bank: Bank, missed: Attempt) -> Attempt:
    learn(missed, LATER)
    return take(cast.student, bank, AT + 20 * MINUTE, wrong=["r1"])


def test_the_teacher_sees_who_waits_and_for_which_rules(cast: Cast, bank: Bank, stuck: Attempt) -> None:
    take(cast.classmate, bank, wrong=["r0"])
    for teacher in (cast.teacher, cast.colleague):
        (waiting_student,) = waiting_for(teacher, AT + DAY)
        assert (waiting_student.student, waiting_student.attempt, waiting_student.cards) == (cast.student, stuck.pk, 1)
        assert [rule.code for rule in waiting_student.rules] == ["r1"]
    for teacher in (cast.other_teacher, cast.stranger_teacher):
        assert waiting_for(teacher, AT + DAY) == ()


def test_a_release_lets_the_student_on(cast: Cast, bank: Bank, stuck: Attempt) -> None:
    learn(stuck, AT + 30 * MINUTE)
    release_student(by=cast.colleague, attempt=stuck.pk, at=AT + 31 * MINUTE)
    assert kinds()[-1] == "student.released"
    assert waiting_for(cast.teacher, AT + 31 * MINUTE) == ()
    assert start_attempt(student=cast.student, bank=bank.pk, at=AT + 31 * MINUTE).is_open


def test_released_before_the_cards_are_read_they_still_come_first(cast: Cast, bank: Bank, stuck: Attempt) -> None:
    release_student(by=cast.teacher, attempt=stuck.pk, at=AT + 30 * MINUTE)
    assert code_of(start_attempt, student=cast.student, bank=bank.pk, at=AT + 31 * MINUTE) == "attempt.relearn"


def test_second_release_changes_nothing(cast: Cast, stuck: Attempt) -> None:
    first = release_student(by=cast.teacher, attempt=stuck.pk, at=AT + 30 * MINUTE)
    assert release_student(by=cast.colleague, attempt=stuck.pk, at=AT + 31 * MINUTE) == first
    assert kinds().count("student.released") == 1


def test_the_next_two_misses_need_a_teacher_again(cast: Cast, bank: Bank, stuck: Attempt) -> None:
    release_student(by=cast.teacher, attempt=stuck.pk, at=AT + 30 * MINUTE)
    learn(stuck, AT + 30 * MINUTE)
    third = take(cast.student, bank, AT + 31 * MINUTE, wrong=["r1"])
    assert not step_of(third, AT + 40 * MINUTE).teacher
    learn(third, AT + 40 * MINUTE)
    fourth = take(cast.student, bank, AT + 50 * MINUTE, wrong=["r1"])
    assert step_of(fourth, AT + 60 * MINUTE).teacher


def test_no_one_is_released_who_does_not_wait(cast: Cast, missed: Attempt) -> None:
    assert code_of(release_student, by=cast.teacher, attempt=missed.pk, at=LATER) == "release.not-waiting"


def test_an_earlier_miss_is_not_the_one_to_release(cast: Cast, missed: Attempt, stuck: Attempt) -> None:
    assert code_of(release_student, by=cast.teacher, attempt=missed.pk, at=AT + DAY) == "release.not-waiting"


def refused_or_missing(person: Person, attempt: Attempt) -> bool:
    try:
        release_student(by=person, attempt=attempt.pk, at=AT + DAY)
    except Http404:
        return True
    except Refused as refusal:
        return refusal.status == 403
    return False


def test_refuses_everyone_but_teachers_in_reach(cast: Cast, stuck: Attempt) -> None:
    assert all(refused_or_missing(person, stuck) for person in cast.not_teachers)
    assert not Release.objects.exists()


# ---- void -----------------------------------------------------------------------------------------------------------


def test_voided_pass_does_not_count_from_that_moment(cast: Cast, bank: Bank) -> None:
    attempt = take(cast.student, bank)
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="Someone else sat there.", at=AT + DAY)
    assert len(passes([cast.student.pk], AT + DAY - MINUTE)) == 1
    assert passes([cast.student.pk], AT + DAY) == []
    assert Attempt.objects.get().perfect
    assert kinds()[-1] == "attempt.voided"


def test_voiding_asks_why_and_is_done_once(cast: Cast, missed: Attempt) -> None:
    assert code_of(void_attempt, by=cast.teacher, attempt=missed.pk, reason="  ", at=AT) == "void.reason"
    void_attempt(by=cast.teacher, attempt=missed.pk, reason="Fire alarm.", at=AT)
    assert code_of(void_attempt, by=cast.colleague, attempt=missed.pk, reason="Again.", at=AT) == "void.already"
    assert kinds().count("attempt.voided") == 1


def test_voiding_refuses_everyone_but_teachers_in_reach(cast: Cast, missed: Attempt) -> None:
    for person in cast.not_teachers:
        with pytest.raises((Refused, Http404)):
            void_attempt(by=person, attempt=missed.pk, reason="No.", at=AT)
    assert not Attempt.objects.filter(voided_at__isnull=False).exists()
