"""Saving an answer: kept as given, the same twice is once, and nothing that is not on the form."""

from typing import Any

import pytest
from django.http import Http404

from quizzes.attempts.acts import hand_in, save_answer, start_attempt, void_attempt
from quizzes.models import Answer, Attempt
from quizzes.questions.form_data import lines_of
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, MINUTE, answer_all, key_for, kinds_text, published, wrong_for


@pytest.fixture
def attempt(cast: Cast) -> Attempt:
    return start_attempt(student=cast.student, bank=published(cast.teacher, kinds_text()).pk, at=AT)


def save(attempt: Attempt, number: int, sent: dict[str, list[str]], **more: Any) -> tuple[Answer | None, str]:
    fields: dict[str, Any] = {"student": attempt.student, "attempt": attempt.pk, "revision": None, "at": AT + MINUTE}
    return save_answer(number=number, sent=sent, **(fields | more))


def code_of(*args: Any, **more: Any) -> str:
    with pytest.raises(Refused) as caught:
        save(*args, **more)
    return caught.value.code


def test_keeps_every_kind_as_given(attempt: Attempt) -> None:
    for number, line in enumerate(lines_of(attempt.form), 1):
        answer, lacks = save(attempt, number, key_for(line))
        assert answer
        assert (answer.question, answer.revision, lacks) == (line.code, 1, "")
    assert attempt.answers.count() == 5


def test_the_same_again_changes_nothing(attempt: Attempt) -> None:
    line = lines_of(attempt.form)[0]
    first, _ = save(attempt, 1, key_for(line))
    again, _ = save(attempt, 1, key_for(line), at=AT + 5 * MINUTE, revision=99)
    assert first
    assert again
    assert (again.pk, again.revision, again.saved_at) == (first.pk, 1, first.saved_at)


def test_a_changed_answer_is_the_next_revision(attempt: Attempt) -> None:
    line = lines_of(attempt.form)[0]
    save(attempt, 1, key_for(line))
    answer, _ = save(attempt, 1, wrong_for(line), revision=1)
    assert answer
    assert answer.revision == 2
    assert attempt.answers.get().response == answer.response


def test_a_page_from_before_does_not_overwrite_a_later_answer(attempt: Attempt) -> None:
    line = lines_of(attempt.form)[0]
    save(attempt, 1, key_for(line))
    save(attempt, 1, wrong_for(line), revision=1)
    assert code_of(attempt, 1, key_for(line), revision=1) == "answer.changed-elsewhere"
    assert attempt.answers.get().revision == 2


def number_of(attempt: Attempt, kind: str) -> int:
    return next(number for number, line in enumerate(lines_of(attempt.form), 1) if line.kind == kind)


@pytest.mark.parametrize("kind", ["several", "order", "pair", "measure"])
def test_an_answer_that_was_taken_away_counts_as_none(attempt: Attempt, kind: str) -> None:
    answer_all(attempt, AT)
    number = number_of(attempt, kind)
    answer, lacks = save(attempt, number, {}, revision=1)
    assert answer
    assert (answer.response, answer.revision) == ({}, 2)
    assert lacks
    again, _ = save(attempt, number, {}, revision=2)
    assert again
    assert again.revision == 2
    with pytest.raises(Refused, match=f"Question {number} has no full answer yet"):
        hand_in(student=attempt.student, attempt=attempt.pk, at=AT + MINUTE)
    save(attempt, number, key_for(lines_of(attempt.form)[number - 1]), revision=2)
    assert hand_in(student=attempt.student, attempt=attempt.pk, at=AT + MINUTE).perfect


def test_a_choice_of_one_stays_chosen(attempt: Attempt) -> None:
    number = number_of(attempt, "one")
    save(attempt, number, key_for(lines_of(attempt.form)[number - 1]))
    answer, lacks = save(attempt, number, {}, revision=1)
    assert answer == attempt.answers.get()
    assert (answer.revision, bool(answer.response), bool(lacks)) == (1, True, True)


@pytest.mark.parametrize("kind", ["several", "order", "pair", "measure"])
def test_nothing_sent_takes_nothing_away_from_another_page(attempt: Attempt, kind: str) -> None:
    number = number_of(attempt, kind)
    answer, _ = save(attempt, number, key_for(lines_of(attempt.form)[number - 1]))
    assert answer
    assert code_of(attempt, number, {}, revision=0) == "answer.changed-elsewhere"
    assert save(attempt, number, {}, revision=None)[0] == answer
    assert (attempt.answers.get().response, attempt.answers.get().revision) == (answer.response, 1)


def test_an_unfinished_answer_is_kept_and_said(attempt: Attempt) -> None:
    number = next(n for n, line in enumerate(lines_of(attempt.form), 1) if line.kind == "measure")
    answer, lacks = save(attempt, number, {"answer": ["an eighth"]})
    assert answer
    assert answer.response == {"text": "an eighth"}
    assert "number" in lacks


@pytest.mark.parametrize("number", [0, 6, -1])
def test_refuses_a_question_that_is_not_on_the_form(attempt: Attempt, number: int) -> None:
    assert code_of(attempt, number, {"answer": ["x"]}) == "answer.not-on-form"
    assert not Answer.objects.exists()


def test_refuses_an_answer_that_is_not_on_the_form(attempt: Attempt) -> None:
    number = next(n for n, line in enumerate(lines_of(attempt.form), 1) if line.kind == "one")
    assert code_of(attempt, number, {"answer": ["made-up"]}) == "answer.not-on-form"
    assert not Answer.objects.exists()


def test_refuses_a_closed_attempt(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    hand_in(student=attempt.student, attempt=attempt.pk, at=AT + MINUTE)
    before = list(Answer.objects.order_by("pk").values_list("response", "revision"))
    assert code_of(attempt, 1, wrong_for(lines_of(attempt.form)[0])) == "answer.closed"
    assert list(Answer.objects.order_by("pk").values_list("response", "revision")) == before


def test_repeated_save_is_accepted_after_the_hand_in(attempt: Attempt) -> None:
    answer_all(attempt, AT)
    hand_in(student=attempt.student, attempt=attempt.pk, at=AT + MINUTE)
    answer, lacks = save(attempt, 1, key_for(lines_of(attempt.form)[0]), revision=0)
    assert answer
    assert (answer.revision, lacks) == (1, "")


def test_repeated_save_is_refused_when_the_attempt_was_voided(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="Wrong class.", at=AT)
    assert code_of(attempt, 1, key_for(lines_of(attempt.form)[0])) == "answer.closed"


def test_refuses_a_voided_attempt(cast: Cast, attempt: Attempt) -> None:
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="Wrong class.", at=AT)
    assert code_of(attempt, 1, key_for(lines_of(attempt.form)[0])) == "answer.closed"


def test_refuses_everyone_but_the_student_whose_attempt_it_is(cast: Cast, attempt: Attempt) -> None:
    sent = key_for(lines_of(attempt.form)[0])
    for person in (cast.classmate, cast.stranger_student):
        with pytest.raises(Http404):
            save(attempt, 1, sent, student=person)
    for person in (cast.teacher, cast.colleague, cast.office, cast.substitute, cast.stranger_teacher):
        assert code_of(attempt, 1, sent, student=person) == "access.not-yours"
    assert not Answer.objects.exists()
