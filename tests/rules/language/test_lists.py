"""Rows of things in a sentence."""

import pytest

from shopsafe.language import messages
from shopsafe.language.lists import alternatives, in_turn, listed


@pytest.mark.parametrize(
    ("items", "sentence"), [([], ""), (["A"], "A"), (["A", "B"], "A and B"), ((1, 2, 3), "1, 2 and 3")]
)
def test_the_last_of_a_row_follows_a_word(items: list[object], sentence: str) -> None:
    assert listed(items) == sentence
    assert alternatives(items) == sentence.replace("and", "or")


def test_arrows_lead_the_way_the_language_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    assert in_turn(["band saw", "lathe"]) == "band saw → lathe"
    monkeypatch.setattr(messages, "_runs_from_the_right", lambda: True)
    assert in_turn(["band saw", "lathe"]) == "\u2068band saw\u2069 ← \u2068lathe\u2069"
