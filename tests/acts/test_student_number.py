"""A student gets a student number after the list came without: who may, and what is refused."""

from datetime import UTC, datetime
from typing import Any

import pytest

from shopsafe.school.models import Person
from shopsafe.school.people.acts.numbers import set_student_number
from tests.acts.reading import code_of, entries, last_entry
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory, PersonFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


@pytest.fixture
def asked(cast: Cast) -> dict[str, Any]:
    student = PersonFactory(school=cast.school, name="Elif Kaya", local_id="")
    EnrollmentFactory(section=cast.section, student=student)
    return {"section": cast.section, "student": student, "number": " S1004 ", "by": cast.teacher, "at": AT}


def test_the_student_has_the_number_and_the_logbook_says_so(asked: dict[str, Any]) -> None:
    assert Person.objects.get(pk=set_student_number(**asked).pk).local_id == "S1004"
    kind, payload = last_entry()
    assert (kind, payload["before"], payload["after"]) == ("student.number_set", "", "S1004")
    assert code_of(set_student_number, **asked) == "number.same"


def test_a_number_that_another_student_has_is_refused(asked: dict[str, Any], cast: Cast) -> None:
    PersonFactory(school=cast.school, local_id="S1004")
    assert code_of(set_student_number, **asked) == "number.taken"
    PersonFactory(school=cast.stranger_school, local_id="S1005")  # another school's numbers are its own
    assert set_student_number(**asked | {"number": "S1005"}).local_id == "S1005"


@pytest.mark.parametrize("number", ["two words", "12*4", "x" * 41, ""])
def test_text_that_is_not_a_number_is_refused(asked: dict[str, Any], number: str) -> None:
    assert code_of(set_student_number, **asked | {"number": number}) == "number.to-fix"


def test_refuses_everyone_who_may_not_change_the_class(asked: dict[str, Any], cast: Cast) -> None:
    for person in (cast.student, cast.substitute, cast.colleague, cast.other_teacher, cast.stranger_teacher):
        assert code_of(set_student_number, **asked | {"by": person}) == "access.not-yours"
    assert not entries("student.number_set")
