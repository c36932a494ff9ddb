"""Two requests at one moment: one effect, and the second person reads why."""

import uuid
from datetime import UTC, date, datetime

import pytest

from shopsafe.school.models import Enrollment, Person, RosterImport, StudentDocument
from shopsafe.school.people.acts.documents import record_document
from shopsafe.school.people.acts.moves import end_enrollment
from shopsafe.school.rosters.acts import add_student, import_roster
from shopsafe.school.rosters.rules import read_pasted
from tests.cast import Cast, make_cast
from tests.factories.at_once import four_times_at_once

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


@pytest.fixture
def cast(transactional_db: None) -> Cast:
    return make_cast()


def test_one_form_sent_four_times_at_once_is_one_import(cast: Cast) -> None:
    sheet, key = read_pasted("Name,ID\nUma Lund,000417\nRo Berg,000418\n"), uuid.uuid4()
    outcomes = four_times_at_once(
        lambda: import_roster(section=cast.section, sheet=sheet, key=key, by=cast.teacher, at=AT)
    )
    assert outcomes == ["done"] * 4
    assert Person.objects.filter(local_id__startswith="0004").count() == 2
    assert RosterImport.objects.count() == 1


def test_one_list_from_four_windows_is_one_import(cast: Cast) -> None:
    sheet = read_pasted("Name,ID\nUma Lund,000417\nRo Berg,000418\n")
    outcomes = four_times_at_once(
        lambda: import_roster(section=cast.section, sheet=sheet, key=uuid.uuid4(), by=cast.teacher, at=AT)
    )
    assert outcomes == ["done"] * 4
    assert Person.objects.filter(local_id__startswith="0004").count() == 2
    assert RosterImport.objects.count() == 1


def test_one_student_typed_in_four_times_at_once_comes_in_once(cast: Cast) -> None:
    outcomes = four_times_at_once(
        lambda: add_student(section=cast.section, name="Uma Lund", local_id="7", by=cast.teacher, at=AT)
    )
    assert outcomes == ["done", *["student.already-here"] * 3]
    assert Enrollment.objects.filter(student__local_id="7").count() == 1


def test_one_agreement_and_one_leaving(cast: Cast) -> None:
    arguments = {"section": cast.section, "by": cast.teacher, "at": AT}
    day = date(2026, 9, 8)
    outcomes = four_times_at_once(lambda: record_document(students=[cast.student], signed_on=day, **arguments))
    assert outcomes == ["document.recorded-already"] * 3 + ["done"]
    assert StudentDocument.objects.count() == 1
    assert four_times_at_once(lambda: end_enrollment(student=cast.student, **arguments)) == ["class.left"] * 3 + [
        "done"
    ]
