"""Check your answers, hand in, and what the result page says."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.models import Attempt
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, answer_all, bank_text, learn, published, take


def test_the_check_page_shows_every_answer_with_a_way_to_change_it(student: Client, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    page = student.get(reverse("attempt-check", args=[attempt.pk])).content.decode()
    for text in ("Just above the wood", "1. Glasses on", "Eyes: Safety glasses", "1/8 in"):
        assert text in page
    for number in range(1, 6):
        assert reverse("attempt-question", args=[attempt.pk, number]) + "?check" in page
    assert "Nothing counts until you hand in" in page


def test_an_unanswered_question_is_named_and_linked(student: Client, attempt: Attempt) -> None:
    response = student.post(reverse("attempt-hand-in", args=[attempt.pk]))
    page = response.content.decode()
    assert response.status_code == 422
    assert "<title>Error: " in page
    assert "Questions 1, 2, 3, 4, 5 have no full answer yet." in page
    assert Attempt.objects.get().is_open


def test_handing_in_twice_shows_the_same_result(student: Client, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    for _ in range(2):
        response = student.post(reverse("attempt-hand-in", args=[attempt.pk]), follow=True)
        assert response.status_code == 200
        assert "Every answer was right." in response.content.decode()
    assert reverse("attempt-result", args=[attempt.pk]) == response.redirect_chain[-1][0]


def test_a_pass_says_what_comes_next_and_gives_no_leave(student: Client, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    page = student.post(reverse("attempt-hand-in", args=[attempt.pk]), follow=True).content.decode()
    assert "My machines says what comes next. This quiz alone lets you use no machine." in page


def test_a_bank_may_say_itself_what_comes_next(cast: Cast, student: Client) -> None:
    done = take(cast.student, published(cast.teacher, bank_text(after="Ask your teacher which machine is first.")))
    page = student.get(reverse("attempt-result", args=[done.pk])).content.decode()
    assert "Ask your teacher which machine is first." in page
    assert "show your teacher at" not in page


def test_a_miss_shows_rules_and_neither_questions_nor_score(cast: Cast, student: Client) -> None:
    done = take(cast.student, published(cast.teacher, bank_text()), timezone.now(), wrong=["r1", "r2"])
    page = student.get(reverse("attempt-result", args=[done.pk])).content.decode()
    assert "Not yet. 2 rules to learn again." in page
    assert "Keep rule number 1." in page
    assert "Keep rule number 0." not in page
    for secret in ("Do 1", "case", "1 of 3", "wrong"):
        assert secret not in page


def test_after_the_cards_the_page_says_how_long_to_wait(cast: Cast, student: Client) -> None:
    bank = published(cast.teacher, bank_text())
    now = timezone.now()
    done = take(cast.student, bank, now - 10 * MINUTE, wrong=["r1"])
    learn(done, now)
    page = student.get(reverse("attempt-result", args=[done.pk])).content.decode()
    assert "Wait until" in page
    assert "Try again" not in page
    assert student.post(reverse("attempt-start", args=[bank.pk])).status_code == 409


def test_after_the_wait_the_page_offers_the_next_attempt(cast: Cast, student: Client) -> None:
    bank = published(cast.teacher, bank_text())
    done = take(cast.student, bank, timezone.now() - 30 * MINUTE, wrong=["r1"])
    learn(done, timezone.now() - 20 * MINUTE)
    assert "Try again" in student.get(reverse("attempt-result", args=[done.pk])).content.decode()
    response = student.post(reverse("attempt-start", args=[bank.pk]))
    opened = Attempt.objects.get(handed_in_at=None)
    assert response.headers["Location"] == reverse("attempt-question", args=[opened.pk, 1])


def test_too_many_misses_lead_to_the_teacher(cast: Cast, student: Client) -> None:
    bank, now = published(cast.teacher, bank_text()), (timezone.now() - DAY).replace(hour=18)
    learn(take(cast.student, bank, now - 60 * MINUTE, wrong=["r1"]), now - 50 * MINUTE)
    done = take(cast.student, bank, now - 40 * MINUTE, wrong=["r1"])
    page = student.get(reverse("attempt-result", args=[done.pk])).content.decode()
    assert "Talk to your teacher." in page
    learn(done, now - 30 * MINUTE)
    assert "Try again</button>" not in student.get(reverse("attempt-result", args=[done.pk])).content.decode()


def test_an_open_attempt_has_no_result(student: Client, attempt: Attempt) -> None:
    response = student.get(reverse("attempt-result", args=[attempt.pk]))
    assert response.headers["Location"] == reverse("attempt-check", args=[attempt.pk])


@pytest.mark.parametrize("name", ["attempt-check", "attempt-result"])
def test_a_classmate_finds_no_page(cast: Cast, attempt: Attempt, client: Client, name: str) -> None:
    client.force_login(cast.classmate)
    assert client.get(reverse(name, args=[attempt.pk])).status_code == 404
