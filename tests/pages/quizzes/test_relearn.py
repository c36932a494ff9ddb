"""The cards: read, covered, recalled; the word to recall is not on the covered page."""

from dataclasses import replace

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.models import Attempt, RuleRead
from tests.cast import Cast
from tests.factories.banks import MINUTE, bank_text, published, take
from tests.pages.notes import note_on


@pytest.fixture
def missed(cast: Cast) -> Attempt:
    return take(cast.student, published(cast.teacher, bank_text()), timezone.now() - 10 * MINUTE, wrong=["r1", "r2"])


def card(missed: Attempt, number: int = 1, name: str = "relearn-card") -> str:
    return reverse(name, args=[missed.pk, number])


def cover(student: Client, missed: Attempt, number: int = 1) -> HttpResponse:
    """Reads the card and covers it, as its page does."""
    address = card(missed, number)
    return student.post(address, {"opened": note_on(student.get(address), "opened")})


def test_the_card_gives_the_rule_and_why(student: Client, missed: Attempt) -> None:
    page = student.get(card(missed)).content.decode()
    assert "<h1>Keep rule number 1.</h1>" in page
    assert "A low guard keeps your hand off the blade." in page
    assert 'data-aloud="card-text" hidden' in page
    assert not RuleRead.objects.exists(), "looking is not reading: the student says so"


def test_covering_is_recorded_and_the_word_is_not_on_the_page(student: Client, missed: Attempt) -> None:
    response = cover(student, missed)
    assert response.headers["Location"] == card(missed, 1, "relearn-recall")
    page = student.get(card(missed, 1, "relearn-recall")).content.decode()
    assert "Set the " in page
    assert "just above the wood." in page
    assert "guard" not in page.lower().replace("just above", "")
    assert RuleRead.objects.get().recalled_at is None


def test_the_right_word_leads_back_to_the_rules(student: Client, missed: Attempt) -> None:
    cover(student, missed)
    response = student.post(card(missed, 1, "relearn-recall"), {"said": "guard"}, follow=True)
    page = response.content.decode()
    assert "Not yet. 1 rule to learn again." in page
    assert "Read and recalled" in page
    assert "Learned" not in page


def test_a_wrong_word_keeps_what_was_typed_and_points_to_the_card(student: Client, missed: Attempt) -> None:
    cover(student, missed)
    response = student.post(card(missed, 1, "relearn-recall"), {"said": "<b>fence"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "<title>Error: " in page
    assert 'value="&lt;b&gt;fence"' in page
    assert card(missed) in page


def test_a_card_can_not_be_skipped_by_a_request_made_by_hand(student: Client, missed: Attempt) -> None:
    assert student.post(card(missed, 1, "relearn-recall"), {"said": "guard"}).status_code == 409
    assert student.post(card(missed)).status_code == 409
    assert student.post(card(missed), {"opened": note_on(student.get(card(missed, 2)), "opened")}).status_code == 409
    assert student.get(card(missed, 1, "relearn-recall")).headers["Location"] == card(missed)
    assert not RuleRead.objects.exists()
    assert student.post(reverse("attempt-start", args=[missed.bank_id])).status_code == 409


@pytest.mark.parametrize("number", [0, 3])
def test_there_are_cards_for_missed_rules_only(student: Client, missed: Attempt, number: int) -> None:
    assert student.get(card(missed, number)).status_code == 404
    assert student.post(card(missed, number)).status_code == 404
    assert student.post(card(missed, number, "relearn-recall"), {"said": "guard"}).status_code == 404


def test_card_marks_the_sentence_that_decided_a_question_of_the_quiz(student: Client, cast: Cast) -> None:
    text = bank_text()
    rules = tuple(replace(rule, says=f"{rule.says} Keep {rule.code} in mind.") for rule in text.rules)
    questions = tuple(replace(question, decided_by=(2,)) for question in text.questions)
    bank = published(cast.teacher, replace(text, rules=rules, questions=questions))
    missed = take(cast.student, bank, timezone.now() - 10 * MINUTE, wrong=["r1"])
    page = student.get(card(missed)).content.decode()
    assert "<h1>Keep rule number 1. <mark>Keep r1 in mind.</mark></h1>" in page
