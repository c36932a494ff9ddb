"""A question tried out by a teacher: shown as a student gets it, graded like an attempt, nothing kept."""

import pytest

from quizzes.banks.editor.question_trial import _line, look_at, try_out
from quizzes.facts import EditionText
from tests.factories.bank_texts import a_bank, every_kind
from tests.factories.banks import key_for, wrong_for

TEXT = EditionText(bank=a_bank())


@pytest.mark.parametrize("code", [question.code for question in every_kind() if question.kind != "spot"])
def test_the_key_is_the_key(code: str) -> None:
    line = _line(TEXT, code)
    assert try_out(TEXT, code, key_for(line)).right is True
    assert try_out(TEXT, code, wrong_for(line)).right is False


def test_nothing_answered_is_said_and_not_graded() -> None:
    for sent in ({}, {"answer": ["not on the form"]}):
        tried = try_out(TEXT, "q-one", sent)
        assert (tried.problem, tried.right) == ("Choose an answer.", None)


def test_it_is_drawn_the_same_each_time() -> None:
    assert look_at(TEXT, "q-order") == look_at(TEXT, "q-order")
    assert [option.text for option in look_at(TEXT, "q-order").asked.options] != list(every_kind()[2].steps)  # type: ignore[attr-defined]
