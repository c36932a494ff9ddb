"""The next attempt: refused until it is due, whatever is sent by hand or from a second window."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.models import Attempt, Bank, RuleRead
from quizzes.relearning.acts import release_student
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.banks import DAY, MINUTE, answer_all, bank_text, learn, published, take
from tests.pages.notes import note_on

PURPOSES = ["", "quiz", "refresher", "anything"]


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, bank_text())


def start(client: Client, bank: Bank, **sent: str) -> tuple[int, str]:
    response = client.post(reverse("attempt-start", args=[bank.pk]), sent)
    return response.status_code, response.content.decode()


def miss(student: Person, bank: Bank, minutes_ago: int) -> Attempt:
    return take(student, bank, timezone.now() - minutes_ago * MINUTE, wrong=["r1"])


@pytest.mark.parametrize("purpose", PURPOSES)
def test_not_before_the_cards_are_read(cast: Cast, student: Client, bank: Bank, purpose: str) -> None:
    miss(cast.student, bank, 60)
    status, page = start(student, bank, purpose=purpose)
    assert (status, Attempt.objects.count()) == (409, 1)
    assert "First read your rule cards." in page


@pytest.mark.parametrize("purpose", PURPOSES)
def test_not_before_the_waiting_time_is_over(cast: Cast, student: Client, bank: Bank, purpose: str) -> None:
    learn(miss(cast.student, bank, 60), timezone.now() - 4 * MINUTE)
    status, page = start(student, bank, purpose=purpose)
    assert (status, Attempt.objects.count()) == (409, 1)
    assert "It is not time yet." in page


@pytest.mark.parametrize("purpose", PURPOSES)
def test_not_before_the_teacher_lets_them(cast: Cast, student: Client, bank: Bank, purpose: str) -> None:
    at = (timezone.now() - 2 * DAY).replace(hour=18)  # both misses on one school day, long ago
    learn(take(cast.student, bank, at, wrong=["r1"]), at + 10 * MINUTE)
    second = take(cast.student, bank, at + 30 * MINUTE, wrong=["r1"])
    learn(second, at + 40 * MINUTE)
    status, page = start(student, bank, purpose=purpose)
    assert (status, Attempt.objects.count()) == (409, 2)
    assert "Talk to your teacher first." in page
    release_student(by=cast.teacher, attempt=second.pk, at=timezone.now())
    assert start(student, bank, purpose=purpose)[0] == 302


def test_a_refresher_is_not_to_be_had_without_a_pass(student: Client, bank: Bank) -> None:
    assert start(student, bank, purpose="refresher")[0] == 302
    assert Attempt.objects.get().purpose == "quiz"


def test_release_sent_by_a_student_returns_404(cast: Cast, student: Client, bank: Bank) -> None:
    missed = miss(cast.student, bank, 60)
    assert student.post(reverse("student-release", args=[missed.pk])).status_code == 404
    assert start(student, bank)[0] == 409


def test_starting_by_a_link_is_not_to_be_had(student: Client, bank: Bank) -> None:
    assert student.get(reverse("attempt-start", args=[bank.pk])).status_code == 405
    assert not Attempt.objects.exists()


def test_two_windows_share_the_next_attempt(cast: Cast, bank: Bank, as_person: Callable[[Person], Client]) -> None:
    learn(miss(cast.student, bank, 60), timezone.now() - 30 * MINUTE)
    for window in (as_person(cast.student), as_person(cast.student)):
        assert start(window, bank)[0] == 302
    assert Attempt.objects.filter(handed_in_at=None).count() == 1


def test_an_old_window_starts_nothing_after_another_miss(
    cast: Cast, bank: Bank, as_person: Callable[[Person], Client]
) -> None:
    """The second window still shows "Try again" while the first has gone on and missed again."""
    learn(miss(cast.student, bank, 60), timezone.now() - 30 * MINUTE)
    first, second = as_person(cast.student), as_person(cast.student)
    assert "Try again" in second.get(reverse("quizzes")).content.decode()
    start(first, bank)
    going = Attempt.objects.get(handed_in_at=None)
    answer_all(going, timezone.now(), wrong=["r1"])
    first.post(reverse("attempt-hand-in", args=[going.pk]))
    assert start(second, bank)[0] == 409
    assert second.post(reverse("attempt-hand-in", args=[going.pk]), follow=True).status_code == 200
    assert Attempt.objects.count() == 2


def test_a_card_is_recalled_only_on_ones_own_attempt(
    cast: Cast, bank: Bank, as_person: Callable[[Person], Client]
) -> None:
    missed = miss(cast.student, bank, 60)
    classmate = as_person(cast.classmate)
    for name in ("relearn-card", "relearn-recall"):
        assert classmate.post(reverse(name, args=[missed.pk, 1]), {"said": "guard"}).status_code == 404
    assert not RuleRead.objects.exists()


def test_the_covered_card_takes_the_word_and_not_a_claim(cast: Cast, student: Client, bank: Bank) -> None:
    missed = miss(cast.student, bank, 60)
    card = reverse("relearn-card", args=[missed.pk, 1])
    student.post(card, {"opened": note_on(student.get(card), "opened")})
    page = reverse("relearn-recall", args=[missed.pk, 1])
    for sent in ({}, {"said": ""}, {"said": "x" * 200}, {"recalled_at": "2026-01-01"}, {"said": "blade", "done": "1"}):
        assert student.post(page, sent).status_code == 422
    read = RuleRead.objects.get()
    assert (read.recalled_at, read.tries) == (None, 5)
    assert start(student, bank)[0] == 409
