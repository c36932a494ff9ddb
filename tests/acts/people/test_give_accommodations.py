"""Accommodations are given by a teacher of the student's, recorded, and replaced whole."""

import json
from datetime import UTC, datetime

from shopsafe.school.models import Person
from shopsafe.school.people.acts.accommodations import give_accommodations
from shopsafe.school.reading.accommodations import Accommodations
from tests.acts.reading import code_of, entries
from tests.cast import Cast

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
GIVEN = Accommodations(aloud=True, size="larger", language="es")


def test_they_hold_from_now_on_and_the_logbook_says_so(cast: Cast) -> None:
    give_accommodations(student=cast.student, given=GIVEN, by=cast.teacher, at=AT)
    assert Person.objects.get(pk=cast.student.pk).given == GIVEN
    (payload,) = map(json.loads, entries("accommodation.given"))
    assert payload["student"]["id"] == cast.student.pk
    assert payload["by"]["id"] == cast.teacher.pk
    assert payload["given"] == ["Read aloud", "Larger type", "In Spanish, where the bank has it"]


def test_the_next_ones_replace_them(cast: Cast) -> None:
    give_accommodations(student=cast.student, given=GIVEN, by=cast.teacher, at=AT)
    give_accommodations(student=cast.student, given=Accommodations(), by=cast.colleague, at=AT)
    assert Person.objects.get(pk=cast.student.pk).accommodations == {}
    assert json.loads(entries("accommodation.given")[1])["given"] == []


def test_the_same_again_is_nothing_new(cast: Cast) -> None:
    for _ in range(2):
        give_accommodations(student=cast.student, given=GIVEN, by=cast.teacher, at=AT)
    assert len(entries("accommodation.given")) == 1


def test_refuses_what_is_on_no_list(cast: Cast) -> None:
    for accommodations in (Accommodations(size="huge"), Accommodations(language="xx")):
        assert (
            code_of(give_accommodations, student=cast.student, given=accommodations, by=cast.teacher, at=AT)
            == "accommodations.unknown"
        )


def test_refuses_everyone_but_teachers_in_reach(cast: Cast) -> None:
    for person in cast.not_teachers:
        assert code_of(give_accommodations, student=cast.student, given=GIVEN, by=person, at=AT) == "access.not-yours"
    assert Person.objects.get(pk=cast.student.pk).accommodations == {}
    assert not entries("accommodation.given")
