"""What an entry says as labels and texts, one inside the other."""

from django.utils import translation

from shopsafe.language.tags import stored_label
from shopsafe.logbook.rules.field_labels import LABELS
from shopsafe.logbook.rules.outline import Node, outline
from tests.logbook.appended import parts_of
from tests.rules.logbook.test_words import ALL_CASES


def test_named_item_is_shown_by_its_name() -> None:
    assert outline({"student": {"id": 5, "name": "Inga Vale"}}) == [Node("Student", "Inga Vale")]
    assert outline({"missed_rules": [{"code": "r1", "says": "Tie hair back."}]}) == [
        Node("Missed rules", below=[Node("1", below=[Node("Code", "r1"), Node("Says", "Tie hair back.")])])
    ]


def test_plain_lists_are_joined_in_one_line() -> None:
    nodes = outline({"points": ["Guard", "Stop"], "shown": [], "note": "", "at": None, "new": True, "year": 2026})
    assert nodes == [
        Node("Points", "Guard; Stop"),
        Node("Shown", "none"),
        Node("Note", "–"),
        Node("At", "–"),
        Node("New", "yes"),
        Node("Year", "2026"),
    ]


def test_moment_is_shown_in_the_time_of_the_school() -> None:
    payload = {"handed_in_at": "2026-11-01T06:30:05Z", "signed_on": "2026-11-01", "words": "at 2026-11-01T06:30:05Z"}
    assert outline(payload, "America/Chicago") == [
        Node("Handed in at", "November 1, 2026, 1:30:05 AM"),
        Node("Signed on", "November 1, 2026"),
        Node("Words", "at 2026-11-01T06:30:05Z"),
    ]
    assert outline({"code": "2026-19-39"}) == [Node("Code", "2026-19-39")]
    assert outline({"at": "2026-11-01T06:30:05Z"}) == [Node("At", "November 1, 2026, 6:30:05 AM")]


def test_grounds_of_a_sign_off_are_sentences_with_their_entry() -> None:
    rests = [{"sentence": "Band saw quiz: every answer right.", "entry": "226"}, {"sentence": "Agreed.", "entry": ""}]
    assert outline({"rests_on": rests}) == [
        Node("Rests on", below=[Node("1", "Band saw quiz: every answer right. Entry 226."), Node("2", "Agreed.")])
    ]


def test_words_that_the_code_has_its_own_name_for() -> None:
    assert [node.label for node in outline({"section": {"id": 1, "name": "9 Teak"}, "at_console": True})] == [
        "Class",
        "At the server's console",
    ]


def test_every_part_of_an_entry_has_a_label() -> None:
    assert {part for _kind, payload, _said in ALL_CASES for part in parts_of(payload)} - LABELS.keys() == set()


def test_word_of_the_program_is_shown_in_another_language_and_a_typed_one_is_not() -> None:
    with translation.override("en-xa"):
        assert outline({"answer": "no", "words": "no", "at_console": True})[:2] == [
            Node("[Åñšwéŕ]", "[ñö]"),
            Node("[Wöŕðš]", "no"),
        ]
        assert "band saw 2" in stored_label("Clearance for band saw 2", "Clearance for {machine}")
        assert stored_label("Holds", "Clearance for {machine}") == "[Ħöļðš]"
