"""Rows of things in a sentence."""

import pytest

from shopsafe.language.lists import alternatives, listed


@pytest.mark.parametrize(
    ("items", "sentence"), [([], ""), (["A"], "A"), (["A", "B"], "A and B"), ((1, 2, 3), "1, 2 and 3")]
)
def test_the_last_of_a_row_follows_a_word(items: list[object], sentence: str) -> None:
    assert listed(items) == sentence
    assert alternatives(items) == sentence.replace("and", "or")
