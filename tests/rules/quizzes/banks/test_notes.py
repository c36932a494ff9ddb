"""What a student reads beside a number: no other numbers, and nothing that is the teacher's to decide."""

from dataclasses import replace

import pytest

from quizzes.facts import Value

GAP = Value(code="gap", says="Guard above the wood", amount="1/8", unit="in", source="common practice")


@pytest.mark.parametrize(
    ("note", "learned"),
    [
        ("", ""),
        ("1/4 in is also taught. Your shop may set its own.", ""),
        ("3 in and 6 in are also taught. Your shop may set its own.", ""),
        ("12 in is also taught. Shorter wood is clamped. Your shop may set its own.", "Shorter wood is clamped."),
        ("More is better. Your shop may set its own.", "More is better."),
        ("12 in (300 mm) is also taught.", ""),
        ("The glue label comes first", "The glue label comes first"),
    ],
)
def test_a_note_to_learn(note: str, learned: str) -> None:
    assert replace(GAP, note=note).note_to_learn == learned
