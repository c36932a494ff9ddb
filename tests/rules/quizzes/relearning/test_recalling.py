"""Cover-and-recall: lenient on spelling, strict on the word."""

import pytest

from quizzes.facts import Recall
from quizzes.relearning.rules.recalling import is_recalled, parts

GUARD = Recall(text="Set the ____ just above the wood.", key=("blade guard", "guard", "1/8"))


@pytest.mark.parametrize(
    "said", ["guard", "Guard.", " the GUARD ", "blade-guard", "gaurd", "guards", "blade gard", "1/8"]
)
def test_lets_pass(said: str) -> None:
    assert is_recalled(GUARD, said)


@pytest.mark.parametrize("said", ["", "  ", "the", "fence", "gurd it", "blade", "1/4", "18", "…"])
def test_does_not_let_pass(said: str) -> None:
    assert not is_recalled(GUARD, said)


def test_a_short_word_must_be_spelled_right() -> None:
    assert is_recalled(Recall(text="Wear no ____.", key=("tie",)), "tie")
    assert not is_recalled(Recall(text="Wear no ____.", key=("tie",)), "pie")


def test_parts_of_the_sentence() -> None:
    assert parts(GUARD) == ("Set the ", " just above the wood.")
