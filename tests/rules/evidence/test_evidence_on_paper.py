"""How questions and details of an evidence file read on paper."""

from typing import Any

import pytest

from machines.evidence.printed import Digest, asked_lefts, details, digests, numbered_points, options_of


@pytest.mark.parametrize(
    ("question", "expected"),
    [
        ({"shown": ["Guard", "Fence"], "answered": ["Fence"]}, [("Guard", False), ("Fence", True)]),
        (
            {"shown": ["Saw", "Mark", "Clamp"], "answered": ["1. Mark", "2. Clamp", "3. Saw"]},
            [("3. Saw", True), ("1. Mark", True), ("2. Clamp", True)],
        ),
        (
            {"shown": ["holds", "cuts", "cools"], "left": ["Vise"], "answered": ["Vise: holds"]},
            [("Vise: holds", True), ("cuts", False), ("cools", False)],
        ),
        ({"answered": ["1/8"], "unit": "in"}, [("1/8 in", True)]),
        ({"shown": ["Guard", "Fence"], "answered": []}, [("Guard", False), ("Fence", False)]),
    ],
    ids=["one", "order", "pair", "measure", "nothing"],
)
def test_options_stand_as_shown_with_the_answer_marked(question: dict[str, Any], expected: list[Any]) -> None:
    assert options_of(question) == expected


def test_items_to_pair_that_the_answer_does_not_name_are_listed() -> None:
    assert asked_lefts({"left": ["Vise", "Punch"], "answered": ["Vise: holds"]}) == ["Punch"]


def test_details_have_words_for_names_and_no_digests() -> None:
    payload = {
        "section": {"id": 1, "name": "9 Teak"},
        "purpose": "quiz",
        "signed_on": "2026-10-05",
        "rule": {"code": "guard-low", "says": "Keep the guard low."},
        "edition_digest": "ab" * 32,
        "rests_on": [
            {"entry": "230", "sentence": "Quiz: every answer right."},
            {"entry": "", "sentence": "Form is in."},
        ],
        "missed_rules": [{"code": "a", "says": "Wait."}],
    }
    assert details(payload, "UTC") == (
        "Class: 9 Teak. Signed on: October 5, 2026. Rule: Keep the guard low. Based on entries: 230. Form is in."
        " Rules to study: Wait."
    )
    assert digests(payload) == [Digest("edition", "ab" * 32)]


def test_points_are_numbered_in_one_run() -> None:
    assert numbered_points(["Lowers the guard", "Stands clear."]) == "1 Lowers the guard. 2 Stands clear."
