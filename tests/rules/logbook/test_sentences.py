"""Plain sentences for entries, and who is named in them."""

import pytest

from shopsafe.logbook import sentences
from shopsafe.logbook.rules.subjects import EntrySubject, UnknownRole, subjects
from shopsafe.logbook.sentences import EntryKind

PAYLOAD = {
    "student": {"id": 7, "name": "Amira Kaya"},
    "machine": {"id": 2, "name": "band saw 2"},
    "by": {"id": 1, "name": "Ms Ferrant"},
    "note": {"id": 4, "text": "no name, so no one"},
}


def test_a_registered_kind_speaks_its_own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sentences, "KINDS", {})
    says = lambda p: f"{sentences.name(p, 'student')} on {sentences.name(p, 'machine')} by {sentences.by(p)}"  # noqa: E731
    sentences.register({"signoff.made": EntryKind("Sign-off", says)})
    assert sentences.sentence("signoff.made", PAYLOAD) == "Sign-off: Amira Kaya on band saw 2 by Ms Ferrant"
    assert sentences.label("signoff.made") == "Sign-off"


def test_a_kind_without_words_lists_who_is_named() -> None:
    sentence = sentences.sentence("gate.opened_wide", PAYLOAD)
    assert sentence == "Gate opened wide: student Amira Kaya, machine band saw 2, by Ms Ferrant"
    assert sentences.sentence("gate.opened", {}) == "Gate opened: names no one"


def test_incomplete_entry_still_lists_the_people_it_names(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sentences, "KINDS", {"a.b": EntryKind("Sign-off", lambda p: p["points"][0].upper())})
    sentence = "Sign-off: student Amira Kaya, machine band saw 2, by Ms Ferrant"
    assert sentences.sentence("a.b", PAYLOAD) == sentence
    assert sentences.sentence("a.b", {**PAYLOAD, "points": 5}) == sentence


def test_two_apps_can_t_have_words_for_one_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sentences, "KINDS", {})
    first_kind, second_kind = EntryKind("One", str), EntryKind("Other", str)
    sentences.register({"a.b": first_kind})
    sentences.register({"a.b": first_kind})
    with pytest.raises(ValueError, match=r"Two apps have words for a\.b"):
        sentences.register({"a.b": second_kind})


def test_an_erasure_says_how_much_and_why() -> None:
    payload = {"by": {"id": 1, "name": "Office"}, "reason": "left the school in 2024", "seqs": [4, 9]}
    sentence = sentences.sentence("logbook.erased", payload)
    assert sentence == "Erasure: what 2 entries said was erased by Office: left the school in 2024"
    assert "what 1 entry said" in sentences.sentence("logbook.erased", {**payload, "seqs": [4]})


def test_no_one_at_the_screen_is_the_console() -> None:
    assert sentences.by({}) == "the server's console"
    assert sentences.name({"teachers": [{"id": 1, "name": "A"}, {"id": 2, "name": "B"}]}, "teachers") == "A, B"


def test_subjects_are_those_named_with_id_and_name_at_the_top() -> None:
    payload = {
        **PAYLOAD,
        "witnesses": [{"id": 8, "name": "Ben"}, {"id": 9, "name": "Cy"}],
        "deep": {"student": PAYLOAD},
    }
    assert subjects(payload) == {
        EntrySubject("student", "person:7"),
        EntrySubject("machine", "machine:2"),
        EntrySubject("by", "person:1"),
        EntrySubject("witnesses", "person:8"),
        EntrySubject("witnesses", "person:9"),
    }


def test_unknown_role_is_refused() -> None:
    with pytest.raises(UnknownRole, match="'pupil' is a person or a thing"):
        subjects({"pupil": {"id": 1, "name": "Amira"}})
