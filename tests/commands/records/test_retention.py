"""manage.py retention: who is due by each school's rule; --really erases them and no one else."""

import json
from datetime import date
from io import StringIO
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command

from machines.holds.acts import place_hold
from machines.management.commands import retention
from machines.records.acts import erase_student
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.logbook import AT, note
from tests.logbook.record import chain_holds

pytestmark = pytest.mark.django_db


def said(*arguments: str) -> dict[str, Any]:
    output = StringIO()
    call_command("retention", *arguments, stdout=output)
    return json.loads(output.getvalue())


@pytest.fixture
def student(cast: Cast) -> Person:
    cast.student.enrollments.update(from_day=date(2020, 1, 1), until_day=date(2020, 2, 29))
    cast.school.keep_years = 3
    cast.school.save(update_fields=["keep_years"])
    note(cast.student)
    return cast.student


def test_shows_who_is_due_and_erases_no_one(cast: Cast, student: Person) -> None:
    answer = said()
    assert answer["really"] is False
    assert [school["school"] for school in answer["schools"]] == [cast.school.name, cast.stranger_school.name]
    due = {"student": student.as_record(), "left_on": "2020-02-29", "kept_to": "2023-02-28"}
    assert [school["due"] for school in answer["schools"]] == [[due], []]
    assert Person.objects.filter(pk=student.pk).exists()


def test_really_erases_those_and_a_second_time_no_one(cast: Cast, student: Person) -> None:
    people = Person.objects.count()
    answer = said("--really")
    assert answer["schools"][0]["due"] == [{"entry": 2, "print_again": []}]
    assert Person.objects.count() == people - 1
    assert chain_holds()
    assert said("--really")["schools"][0]["due"] == []


def test_no_one_is_due_where_the_school_has_set_no_years(cast: Cast, student: Person) -> None:
    cast.school.keep_years = None
    cast.school.save(update_fields=["keep_years"])
    assert said()["schools"][0]["due"] == []


def test_an_injury_is_waited_for(cast: Cast, student: Person) -> None:
    place_hold(student=student, machines=None, reason="injury", lifts="office", by=cast.teacher, tap=uuid4(), at=AT)
    assert said()["schools"][0]["due"] == []
    cast.school.keep_years_injury = 100
    cast.school.save(update_fields=["keep_years_injury"])
    assert said("--really")["schools"][0]["due"] == []
    assert Person.objects.filter(pk=student.pk).exists()


def test_refused_erasure_is_reported_and_the_rest_are_erased(
    cast: Cast, student: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    mate = cast.classmate
    mate.enrollments.update(from_day=date(2020, 1, 1), until_day=date(2020, 1, 2))

    def refuse_one(*, student: Person, **more: Any) -> Any:
        if student == mate:
            raise Refused("erase.kept", "The office keeps this record.")
        return erase_student(student=student, **more)

    monkeypatch.setattr(retention, "erase_student", refuse_one)
    due = said("--really")["schools"][0]["due"]
    assert [leaver.get("refused") for leaver in due] == ["The office keeps this record.", None]
    assert Person.objects.filter(pk=mate.pk).exists()
    assert not Person.objects.filter(pk=student.pk).exists()


def test_retention_reason_is_accepted_when_it_contains_a_student_name(cast: Cast, student: Person) -> None:
    student.name = "Years Long"
    student.save(update_fields=["name"])
    assert said("--really")["schools"][0]["due"] == [{"entry": 2, "print_again": []}]
