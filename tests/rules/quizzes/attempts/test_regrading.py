"""A corrected key: the question it makes, and what it means for an attempt."""

import pytest

from quizzes.attempts.regrading.rules import (
    GAINS,
    NOT_CONCERNED,
    OLD_KEY,
    STILL_MISSED,
    CannotCorrect,
    GradedAnswers,
    corrected,
    effect,
    may_correct,
    with_key,
)
from quizzes.facts import Question, option_texts
from quizzes.questions.grading import is_right
from tests.factories.bank_texts import a_bank, a_one, every_kind

KINDS: dict[str, Question] = {question.kind: question for question in every_kind()}


def test_new_key_of_one_answer_is_graded_right_and_the_old_one_wrong() -> None:
    question = with_key(a_one(), "2")
    assert option_texts(question)[0] == "On the left side"
    assert sorted(option_texts(question)) == sorted(option_texts(a_one()))


def test_new_key_of_a_place_keeps_the_places() -> None:
    question = with_key(KINDS["spot"], "2")
    assert is_right(question, 2, {})
    assert not is_right(question, 0, {})
    assert option_texts(question) == option_texts(KINDS["spot"])


def test_new_key_of_all_that_apply_is_the_set_that_was_picked() -> None:
    question = with_key(KINDS["several"], "0,2")
    assert question.right == ("The guard", "The clock")  # type: ignore[attr-defined]
    assert question.wrong == ("The blade", "The door")  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("kind", "picked"), [("one", "0"), ("one", "4"), ("one", "1,2"), ("one", ""), ("one", "1,x"), ("several", "1,1")]
)
def test_invalid_key_is_refused(kind: str, picked: str) -> None:
    with pytest.raises(CannotCorrect):
        with_key(KINDS[kind], picked)


def test_only_questions_with_options_can_get_another_key() -> None:
    assert {kind for kind, question in KINDS.items() if may_correct(question)} == {"one", "several", "spot"}
    with pytest.raises(CannotCorrect):
        with_key(KINDS["order"], "1,0,2,3")


def test_corrected_bank_differs_in_one_question() -> None:
    bank = a_bank(questions=(a_one("a"), a_one("b")))
    after = corrected(bank, "b", "1")
    assert after.question_by_code["a"] == bank.question_by_code["a"]
    assert after.question_by_code["b"] == with_key(a_one("b"), "1")


@pytest.mark.parametrize(
    ("picked", "wrong", "passed_later", "outcome"),
    [
        ("1", {"q"}, False, GAINS),
        ("1", {"q", "other"}, False, STILL_MISSED),
        ("1", {"q"}, True, STILL_MISSED),
        ("0", set(), False, OLD_KEY),
        ("0", {"other"}, False, OLD_KEY),
        ("2", {"q"}, False, NOT_CONCERNED),
        ("none", {"q"}, False, NOT_CONCERNED),
    ],
)
def test_effect_on_an_attempt(picked: str, wrong: set[str], passed_later: bool, outcome: str) -> None:
    answers = GradedAnswers(picked=picked, wrong=frozenset(wrong), passed_later=passed_later)
    assert effect(answers, "q", "0", "1") == outcome
