"""Whom and what an entry is about, and what it says without one of them."""

from collections.abc import Callable
from typing import Any

import pytest

from shopsafe.logbook.rules import subjects
from shopsafe.logbook.rules.listing import SubjectTexts
from shopsafe.logbook.rules.subjects import EntrySubject, UnknownRole

INGA, JORY, SAW = {"id": 5, "name": "Inga Vale"}, {"id": 6, "name": "Jory Kemp"}, {"id": 5, "name": "Band saw 2"}
PAYLOAD: dict[str, Any] = {
    "student": INGA,
    "witnesses": [JORY, INGA, "nobody"],
    "machine": SAW,
    "machines": [SAW],
    "section": {"id": 3, "name": "9 Teak"},
    "rule": {"id": 9, "says": "Tie hair back."},
    "missed_rules": [{"code": "r1", "name": "no id"}, {"id": 4}],
    "rests_on": {"student": INGA},
    "words": "Inga Vale",
    "year": 2026,
}


def test_are_what_is_named_at_the_top_by_number_and_name() -> None:
    assert subjects.subjects(PAYLOAD) == {
        EntrySubject("student", "person:5"),
        EntrySubject("witnesses", "person:6"),
        EntrySubject("witnesses", "person:5"),
        EntrySubject("machine", "machine:5"),
        EntrySubject("machines", "machine:5"),
        EntrySubject("section", "section:3"),
    }


def test_as_pairs_and_one_by_one_they_are_the_same() -> None:
    pairs = {(role, f"{subjects.prefix(role)}{named['id']}") for role, named in subjects.names(PAYLOAD)}
    assert subjects.keys(PAYLOAD) == pairs == {(subject.role, subject.key) for subject in subjects.subjects(PAYLOAD)}


def test_keys_of_people_and_machines() -> None:
    assert (subjects.person(12), subjects.machine(12)) == ("person:12", "machine:12")


@pytest.mark.parametrize("named", [INGA, [INGA]])
@pytest.mark.parametrize("read", [subjects.subjects, lambda payload: SubjectTexts().of([(1, b"", payload)])])
def test_unknown_role_is_refused_with_instructions(named: object, read: Callable[[dict[str, Any]], Any]) -> None:
    with pytest.raises(
        UnknownRole, match=r"^Say in shopsafe/logbook/subjects\.py whether 'pilot' is a person or a thing\.$"
    ):
        read({"pilot": named})


class TestWithout:
    def test_takes_out_one_person_wherever_they_are_named(self) -> None:
        left = subjects.without(PAYLOAD, "person:5")
        assert "student" not in left
        assert left["witnesses"] == [JORY, "nobody"]
        assert subjects.keys(left) == subjects.keys(PAYLOAD) - {("student", "person:5"), ("witnesses", "person:5")}

    def test_leaves_the_rest_as_it_was(self) -> None:
        assert subjects.without(PAYLOAD, "person:99") == PAYLOAD
        left = subjects.without(PAYLOAD, "person:5")
        assert {key: left[key] for key in left if key != "witnesses"} == {
            key: PAYLOAD[key] for key in PAYLOAD if key not in ("student", "witnesses")
        }

    def test_a_thing_of_the_same_number_stays(self) -> None:
        assert subjects.without({"machine": SAW, "by": INGA}, "person:5") == {"machine": SAW}
        assert subjects.without({"machine": SAW, "by": INGA}, "machine:5") == {"by": INGA}
