"""The subjects of entries as texts: the same as one by one, whatever the form of a payload."""

import json
from collections.abc import Iterable
from typing import Any

import pytest

from shopsafe.logbook.rules import listing, subjects
from shopsafe.logbook.rules.listing import SubjectTexts

INGA, JORY, SAW = {"id": 5, "name": "Inga Vale"}, {"id": 16, "name": "Jory Kemp"}, {"id": 5, "name": "Band saw 2"}
PLAIN = {"by": INGA, "edition": 4, "machine": SAW, "points": ["Lowers the guard", "Stands clear"]}
# Payloads with the keys of PLAIN whose parts have another form: each is written after PLAIN has given its form.
OTHER_FORMS: dict[str, dict[str, Any]] = {
    "a person without a name": {"by": {"id": 5}},
    "a person without a number": {"by": {"name": "Inga Vale"}},
    "a person as text": {"by": "Inga Vale"},
    "no person": {"by": None},
    "a number as text": {"by": {"id": "12", "name": "Inga Vale"}},
    "several machines": {"machine": [{"id": 12, "name": "Lathe"}, SAW]},
    "a machine among words": {"machine": ["a", SAW, 3]},
    "numbers": {"points": [1, 2]},
    "a thing that names no one": {"points": {"count": 2}},
    "a machine in place of a number": {"edition": SAW, "machine": 5},
    "words in place of a machine": {"machine": ["id", "name"], "points": "Lowers the guard"},
}


def one_by_one(entries: Iterable[tuple[int, Any, dict[str, Any]]]) -> list[tuple[int, str, str]]:
    return [row for seq, _, payload in entries for row in sorted(subjects.rows(seq, payload))]


def read_back(written: tuple[list[int], list[str]]) -> list[tuple[int, str, str]]:
    """The rows that the texts stand for."""
    numbers, texts = written
    pairs = json.loads("{" + ",".join(texts) + "}", object_pairs_hook=list)
    return [(seq, role, key) for seq, (role, key) in zip(numbers, pairs, strict=True)]


def test_texts_of_entries_are_their_subjects_in_order() -> None:
    entries = [(4, b"header", PLAIN), (5, b"header", PLAIN | {"by": JORY}), (6, b"header", {"year": 2026})]
    assert SubjectTexts().of(entries) == (
        [4, 4, 5, 5],
        ['"by":"person:5","machine":"machine:5"', '"by":"person:16","machine":"machine:5"'],
    )


@pytest.mark.parametrize("form", OTHER_FORMS)
@pytest.mark.parametrize("most", [listing.MOST_FORMS, 1, 0])
def test_payload_of_another_form_gives_its_own_subjects(form: str, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listing, "MOST_FORMS", most)
    other = PLAIN | OTHER_FORMS[form]
    payloads = [PLAIN, other, PLAIN, PLAIN | {"by": JORY}, other, *(PLAIN | parts for parts in OTHER_FORMS.values())]
    entries = [(seq, b"", payload) for seq, payload in enumerate(payloads, 1)]
    assert read_back(SubjectTexts().of(entries)) == one_by_one(entries)


def test_key_with_a_quotation_mark_adds_quotation_marks() -> None:
    """By these the reader notices that a text may not be taken as it is."""
    entries = [(1, b"", PLAIN), (2, b"", PLAIN | {"by": {"id": '1","machine":"machine:5', "name": "Inga Vale"}})]
    numbers, texts = SubjectTexts().of(entries)
    assert ",".join(texts).count('"') > listing.QUOTES * len(numbers)


def test_unknown_roles_are_refused_in_every_entry() -> None:
    texts = SubjectTexts()
    for _ in range(2):
        with pytest.raises(subjects.UnknownRole):
            texts.of([(1, b"", {"pilot": INGA})])
