"""The check questions on their pages: after the cards, one a page, judged right or not yet, and nothing of the key."""

from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.models import Attempt, RuleRead
from quizzes.relearning.queries import check_line
from tests.cast import Cast
from tests.factories.bank_texts import every_kind
from tests.factories.banks import MINUTE, bank_text, key_for, published, read_cards, take, wrong_for


@pytest.fixture
def missed(cast: Cast) -> Attempt:
    began = timezone.now() - 30 * MINUTE
    missed = take(cast.student, published(cast.teacher, bank_text()), began, wrong=["r1", "r2"])
    read_cards(missed, began + 10 * MINUTE)
    return missed


def address(missed: Attempt, number: int = 1) -> str:
    return reverse("relearn-check", args=[missed.pk, number])


def test_result_leads_to_the_check_when_the_cards_are_read(student: Client, missed: Attempt) -> None:
    page = student.get(reverse("attempt-result", args=[missed.pk])).content.decode()
    assert "Not yet. Your cards are read." in page
    assert "Next: 2 check questions about your rules. They do not count." in page
    assert address(missed) in page


def test_check_asks_one_question_on_the_rule(student: Client, missed: Attempt) -> None:
    page = student.get(address(missed)).content.decode()
    assert "Check question 1 of 2. It does not count." in page
    assert "What does rule 1 say in case" in page
    assert page.count('type="radio"') == 4


def test_right_answer_is_shown_and_leads_to_the_next_question(student: Client, missed: Attempt) -> None:
    page = student.post(address(missed), key_for(check_line(missed, "r1"))).content.decode()
    assert "<h1>Right.</h1>" in page
    assert address(missed, 2) in page
    page = student.post(address(missed, 2), key_for(check_line(missed, "r2"))).content.decode()
    assert "Continue" in page
    page = student.get(reverse("attempt-result", args=[missed.pk])).content.decode()
    assert "Wait until" in page
    assert page.count("Read and recalled. Check question answered") == 2


def test_wrong_answer_shows_the_rule_and_not_the_key(student: Client, missed: Attempt) -> None:
    line = check_line(missed, "r1")
    page = student.post(address(missed), wrong_for(line)).content.decode()
    assert "<h1>Not yet right.</h1>" in page
    assert "Read the rule again." in page
    assert "Keep rule number 1." in page
    assert "Do 1" not in page
    assert reverse("relearn-card", args=[missed.pk, 1]) in page


def test_answered_question_leads_back_when_it_is_opened_again(student: Client, missed: Attempt) -> None:
    student.post(address(missed), wrong_for(check_line(missed, "r1")))
    result = reverse("attempt-result", args=[missed.pk])
    assert student.get(address(missed)).headers["Location"] == result
    assert student.post(address(missed), key_for(check_line(missed, "r1"))).headers["Location"] == result


def test_empty_answer_is_asked_for(student: Client, missed: Attempt) -> None:
    response = student.post(address(missed), {})
    assert response.status_code == 422
    page = response.content.decode()
    assert "<title>Error: " in page
    assert "Choose an answer." in page
    assert student.post(address(missed), {"answer": "made up"}).status_code == 422
    assert not RuleRead.objects.filter(checked_at__isnull=False).exists()


def test_check_comes_after_the_cards(student: Client, cast: Cast) -> None:
    missed = take(cast.student, published(cast.teacher, bank_text()), timezone.now() - 30 * MINUTE, wrong=["r1"])
    assert student.get(address(missed)).headers["Location"] == reverse("attempt-result", args=[missed.pk])
    assert student.post(address(missed), key_for(check_line(missed, "r1"))).status_code == 409
    assert student.get(address(missed, 2)).status_code == 404


def test_order_is_put_together_press_by_press_without_scripts(student: Client, cast: Cast) -> None:
    order = next(question for question in every_kind("r1") if question.kind == "order")
    text = bank_text(rules=2)
    others = tuple(question for question in text.questions if question.rule != "r1")
    orders = tuple(replace(order, code=f"r1-o{number}") for number in range(6))
    began = timezone.now() - 30 * MINUTE
    missed = take(cast.student, published(cast.teacher, replace(text, questions=others + orders)), began, wrong=["r1"])
    read_cards(missed, began + 10 * MINUTE)
    first, *_ = check_line(missed, "r1").options
    page = student.post(address(missed), {"press": first.id}).content.decode()
    assert f'name="step-{first.id}" value="1"' in page
    assert student.post(address(missed), {"press": "made up"}).status_code == 422
    assert not RuleRead.objects.filter(checked_at__isnull=False).exists()
