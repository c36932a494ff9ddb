"""A student who was entered by mistake is removed at once, while nothing is on record."""

from typing import Any
from uuid import uuid4

import pytest
from django.http import Http404

from machines.holds.acts import place_hold
from machines.records.acts import remove_student
from shopsafe.database.backups import noted_erasures
from shopsafe.logbook.models import Body
from shopsafe.school.here_today.acts import save_here_today
from shopsafe.school.models import Enrollment, Person
from shopsafe.school.people.acts.documents import record_document
from shopsafe.school.people.classes import students_of
from shopsafe.school.rosters.acts import add_student
from tests.acts.reading import code_of, last_entry, may_not_change_the_class
from tests.cast import Cast
from tests.factories.machines import NOON, Floor
from tests.factories.people import EnrollmentFactory, SectionFactory
from tests.logbook.record import chain_holds


@pytest.fixture
def wren(cast: Cast) -> Person:
    return add_student(section=cast.section, name="Wren Abbot", local_id="000417", by=cast.teacher, at=NOON)


def remove(cast: Cast, student: Person, **more: Any) -> Any:
    return remove_student(**{"student": student, "section": cast.section, "by": cast.teacher, "at": NOON} | more)


@pytest.mark.django_db(transaction=True)
def test_name_leaves_every_list_and_the_logbook(cast: Cast, wren: Person) -> None:
    save_here_today(section=cast.section, away=[wren.pk], version="", by=cast.teacher, at=NOON)
    key = wren.pk
    remove(cast, wren)
    assert not Person.objects.filter(pk=key).exists()
    assert not Enrollment.objects.filter(student=key).exists()
    assert "Wren Abbot" not in [student.name for student in students_of(cast.section, NOON)]
    assert not any(b"Wren" in bytes(row) for row in Body.objects.values_list("payload", flat=True))
    kind, payload = last_entry()
    assert (kind, payload["reason"]) == ("logbook.erased", "Entered by mistake. Nothing was recorded.")
    assert payload["by"] == cast.teacher.as_record()
    assert chain_holds()
    assert key in {erased.person for erased in noted_erasures()}, "a restored backup would bring the student back"


def test_student_with_records_is_not_removed(floor: Floor, wren: Person) -> None:
    cast = floor.cast
    asked = {"section": cast.section, "students": [wren], "signed_on": NOON.date(), "by": cast.teacher, "at": NOON}
    record_document(**asked)
    assert code_of(remove, cast, wren) == "remove.recorded"
    held = {"student": cast.student, "machines": None, "reason": "dress", "lifts": "talk", "by": cast.teacher}
    place_hold(**held, tap=uuid4(), at=NOON)
    assert code_of(remove, cast, cast.student) == "remove.recorded"


def test_student_of_two_classes_is_taken_out_instead(cast: Cast, wren: Person) -> None:
    EnrollmentFactory(section=SectionFactory(shop=cast.shop, term=cast.section.term), student=wren)
    assert code_of(remove, cast, wren) == "remove.other-class"


def test_a_second_time_is_refused_and_so_is_a_student_of_elsewhere(cast: Cast, wren: Person) -> None:
    assert code_of(remove, cast, cast.stranger_student) == "class.left"
    remove(cast, wren)
    with pytest.raises(Http404):
        remove(cast, wren)


def test_no_one_else_may(cast: Cast, wren: Person) -> None:
    for person in may_not_change_the_class(cast):
        assert code_of(remove, cast, wren, by=person) == "access.not-yours", person
    assert Person.objects.filter(pk=wren.pk).exists()
