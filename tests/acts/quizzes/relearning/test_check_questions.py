"""After the cards: one question on each missed rule, before the wait, without consequence for the record."""

from datetime import datetime
from typing import Any

import pytest
from django.http import Http404

from quizzes.attempts.acts import start_attempt
from quizzes.facts import FormQuestion
from quizzes.models import Answer, Attempt, Bank, RuleRead
from quizzes.relearning.acts import answer_check
from quizzes.relearning.queries import check_line, seen_questions, step_of
from shopsafe.logbook.models import Listing
from tests.acts.reading import code_of, last_entry
from tests.cast import Cast
from tests.factories.banks import AT, MINUTE, bank_text, key_for, published, read_cards, take, wrong_for

LATER = AT + 10 * MINUTE


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher)


@pytest.fixture
def missed(cast: Cast, bank: Bank) -> Attempt:
    return take(cast.student, bank, wrong=["r1", "r2"])


def answer(missed: Attempt, rule: str, at: datetime = LATER + MINUTE, **changes: Any) -> bool | None:
    asked = {"student": missed.student, "attempt": missed.pk, "rule": rule, "at": at, **changes}
    return answer_check(**({"sent": key_for(check_line(missed, rule))} | asked))


def asked_on(form: dict[str, Any]) -> set[str]:
    return {line["code"] for line in form["lines"]}


def test_wait_begins_with_the_last_check_question(missed: Attempt) -> None:
    read_cards(missed, LATER)
    assert (step_of(missed, LATER).code, step_of(missed, LATER).checks) == ("check questions", 2)
    answer(missed, "r2", LATER + MINUTE)
    assert step_of(missed, LATER + MINUTE).checks == 1
    answer(missed, "r1", LATER + 3 * MINUTE)
    step = step_of(missed, LATER + 3 * MINUTE)
    assert (step.code, step.until) == ("wait", LATER + 8 * MINUTE)


def test_next_quiz_is_refused_when_a_check_question_is_open(cast: Cast, bank: Bank, missed: Attempt) -> None:
    read_cards(missed, LATER)
    answer(missed, "r1")
    with_all_the_time = {"student": cast.student, "bank": bank.pk, "at": LATER + 60 * MINUTE}
    assert code_of(start_attempt, **with_all_the_time) == "attempt.check"


def test_question_is_fresh_when_the_bank_has_one_to_spare(missed: Attempt) -> None:
    for rule in missed.missed_rules:
        line = check_line(missed, rule)
        assert line.rule == rule
        assert line.code not in asked_on(missed.form)
        assert check_line(missed, rule) == line, "the same on every visit"


def test_question_of_the_check_is_not_on_the_next_form(cast: Cast, bank: Bank, missed: Attempt) -> None:
    read_cards(missed, LATER)
    checked = {check_line(missed, rule).code for rule in missed.missed_rules}
    for rule in missed.missed_rules:
        answer(missed, rule)
    assert seen_questions(cast.student.pk, bank.pk).keys() == asked_on(missed.form) | checked
    again = start_attempt(student=cast.student, bank=bank.pk, at=LATER + 60 * MINUTE)
    assert not asked_on(again.form) & (checked | asked_on(missed.form))
    assert not again.form["lacks"]


def test_question_of_the_quiz_comes_again_when_the_bank_has_none_to_spare(cast: Cast) -> None:
    """Three questions a rule: one was asked, and the next form needs two that no one saw."""
    missed = take(cast.student, published(cast.teacher, bank_text(each=3)), wrong=["r1"])
    assert check_line(missed, "r1").code in asked_on(missed.form)
    read_cards(missed, LATER)
    answer(missed, "r1")
    again = start_attempt(student=cast.student, bank=missed.bank_id, at=LATER + 60 * MINUTE)
    on_the_rule = {line["code"] for line in again.form["lines"] if line["rule"] == "r1"}
    assert len(on_the_rule - asked_on(missed.form)) == 2


@pytest.mark.parametrize(("make", "right"), [(key_for, True), (wrong_for, False)])
def test_answer_is_judged_and_not_kept(missed: Attempt, make: Any, right: bool) -> None:
    read_cards(missed, LATER)
    answers = Answer.objects.count()
    line: FormQuestion = check_line(missed, "r1")
    assert answer(missed, "r1", sent=make(line)) is right
    kind, payload = last_entry()
    assert kind == "rule.checked"
    assert payload["question"]["code"] == line.code
    assert "right" not in payload
    assert "answered" not in payload
    assert Answer.objects.count() == answers
    read = RuleRead.objects.get(rule="r1")
    assert (read.checked_at, read.checked_question) == (LATER + MINUTE, line.code)
    missed.refresh_from_db()
    assert (missed.correct, missed.missed_rules) == (1, ["r1", "r2"])


def test_second_answer_is_not_graded(missed: Attempt) -> None:
    read_cards(missed, LATER)
    line = check_line(missed, "r1")
    assert answer(missed, "r1", sent=wrong_for(line)) is False
    assert answer(missed, "r1", LATER + 2 * MINUTE, sent=key_for(line)) is None
    assert Listing.objects.filter(kind="rule.checked").count() == 1
    assert RuleRead.objects.get(rule="r1").checked_at == LATER + MINUTE


def test_check_is_refused_when_a_card_is_not_recalled(missed: Attempt) -> None:
    assert code_of(answer, missed=missed, rule="r1") == "check.cards-first"
    assert not RuleRead.objects.exists()


def test_check_is_refused_when_the_answer_is_empty_or_made_by_hand(missed: Attempt) -> None:
    read_cards(missed, LATER)
    assert code_of(answer, missed=missed, rule="r1", sent={}) == "check.unanswered"
    assert code_of(answer, missed=missed, rule="r1", sent={"answer": ["made up"]}) == "answer.not-on-form"
    assert code_of(answer, missed=missed, rule="r0", sent={}) == "card.not-missed"
    assert not RuleRead.objects.filter(checked_at__isnull=False).exists()


def test_check_is_for_the_student_who_missed_the_rules(cast: Cast, missed: Attempt) -> None:
    read_cards(missed, LATER)
    for person in (cast.classmate, cast.stranger_student):
        with pytest.raises(Http404):
            answer(missed, "r1", student=person)
    for person in (cast.teacher, cast.office, cast.substitute):
        assert code_of(answer, missed=missed, rule="r1", student=person) == "access.not-yours"
