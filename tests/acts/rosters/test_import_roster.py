"""Bringing a class list in: once, whole, and by those who may."""

import uuid
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError

from shopsafe.logbook.append import append_all
from shopsafe.logbook.models import Listing
from shopsafe.school.models import Enrollment, Person, RosterImport
from shopsafe.school.rosters import acts
from shopsafe.school.rosters.acts import add_student, import_roster
from shopsafe.school.rosters.rules import RowCorrection, read_file, read_pasted
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory, PersonFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
FILES = Path(__file__).resolve().parents[3] / "fixtures" / "rosters"
THREE = 'Name,ID\n"Lund, Uma",000417\n"Berg, Ro",000418\n"Moor, Ilse",000419\n'


def bring(cast: Cast, text: str = THREE, **more: Any) -> RosterImport:
    arguments = {"section": cast.section, "sheet": read_pasted(text), "key": uuid.uuid4(), "by": cast.teacher, "at": AT}
    return import_roster(**arguments | more)


def rows_of(cast: Cast) -> tuple[int, int, int, int]:
    return Person.objects.count(), Enrollment.objects.count(), RosterImport.objects.count(), Listing.objects.count()


def test_students_come_in_with_number_names_and_first_day(cast: Cast) -> None:
    done = bring(cast)
    uma = Person.objects.get(local_id="000417")
    assert (done.added, done.already_here, done.to_fix) == (3, 0, 0)
    assert (uma.name, uma.given_name, uma.family_name, uma.role) == ("Uma Lund", "Uma", "Lund", "student")
    assert (uma.sign_in_name, uma.has_usable_password()) == ("Uma Lund", False)
    assert [e.from_day for e in uma.enrollments.filter(section=cast.section)] == [date(2026, 10, 12)]


def test_the_logbook_has_the_import_and_each_student(cast: Cast) -> None:
    bring(cast)
    (whole,) = entries("roster.imported")
    assert '"added":3' in whole
    assert "Lund" not in whole
    assert len(entries("student.enrolled")) == 3
    assert '"local_id":"000417"' in entries("student.enrolled")[0]


@pytest.mark.parametrize(
    ("name", "added"),
    [
        ("period3-messy.csv", 30),
        ("period5-semicolon-cp1252.csv", 24),
        ("period6-pasted.txt", 18),
        ("period1-excel.xlsx", 26),
    ],
)
def test_every_kept_list_comes_in_and_a_second_time_adds_no_one(cast: Cast, name: str, added: int) -> None:
    sheet = read_file(name, (FILES / name).read_bytes())
    assert bring(cast, sheet=sheet).added == added
    before = rows_of(cast)
    again = bring(cast, sheet=sheet)
    assert again.added == 0
    assert again.already_here >= added
    assert rows_of(cast) == before


def test_two_of_one_name_are_two_people_with_two_sign_in_names(cast: Cast) -> None:
    bring(cast, sheet=read_file("p3.csv", (FILES / "period3-messy.csv").read_bytes()))
    umas = Person.objects.filter(name="Uma Márquez").order_by("pk")
    assert [(uma.local_id, uma.sign_in_name) for uma in umas] == [
        ("000417", "Uma Márquez"),
        ("009999", "Uma Márquez 2"),
    ]


def test_second_import_of_a_form_without_numbers_changes_nothing(cast: Cast) -> None:
    key, mends = uuid.uuid4(), {2: RowCorrection(accept=True)}
    first = bring(cast, "Name\nUma Lund\n", key=key, mends=mends)
    before = rows_of(cast)
    again = bring(cast, "Name\nUma Lund\n", key=key, mends=mends)
    assert (first.pk, first.added) == (again.pk, again.added)
    assert rows_of(cast) == before


def test_the_same_form_with_another_list_is_refused(cast: Cast) -> None:
    key = uuid.uuid4()
    bring(cast, key=key)
    assert code_of(bring, cast, "Name\nRo Berg\n", key=key) == "roster.key-used"


def test_a_student_of_the_school_joins_and_is_not_made_again(cast: Cast) -> None:
    uma = PersonFactory(school=cast.school, name="Uma Lund", local_id="000417")
    bring(cast)
    assert Person.objects.filter(local_id="000417").get() == uma
    assert uma.enrollments.get().section == cast.section


def test_import_enrolls_a_former_student_again(cast: Cast) -> None:
    uma = PersonFactory(school=cast.school, name="Uma Lund", local_id="000417")
    EnrollmentFactory(section=cast.section, student=uma, until_day=date(2026, 10, 1))
    assert bring(cast).added == 3
    assert uma.enrollments.filter(until_day=None).count() == 1


def test_import_ignores_numbers_of_another_school(cast: Cast) -> None:
    PersonFactory(school=cast.stranger_school, name="Someone Else", local_id="000417")
    assert bring(cast).added == 3


def test_rows_to_fix_stay_out_and_skipped_ones_too(cast: Cast) -> None:
    done = bring(cast, THREE + ",000420\n", mends={2: RowCorrection(skip=True)})
    assert (done.added, done.to_fix, done.skipped) == (2, 1, 1)


def test_the_office_may_and_so_may_the_console(cast: Cast) -> None:
    assert bring(cast, by=cast.office).added == 3
    assert bring(cast, "Name\nNew Comer\n", by=None).added == 1
    assert '"at_console":true' in entries("roster.imported")[1]


def test_no_one_else_may(cast: Cast) -> None:
    before = rows_of(cast)
    for person in may_not_change_the_class(cast):
        assert code_of(bring, cast, by=person) == "access.not-yours", person
    assert rows_of(cast) == before


def test_nothing_stays_of_an_import_that_breaks_off(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    before = rows_of(cast)

    def breaks(**entries: Any) -> Any:
        append_all(**entries)
        raise IntegrityError("someone was faster")

    monkeypatch.setattr(acts, "append_all", breaks)
    assert code_of(bring, cast) == "roster.raced"
    assert rows_of(cast) == before


# One by hand


def test_one_student_by_hand(cast: Cast) -> None:
    uma = add_student(section=cast.section, name="Lund, Uma", local_id="000417", by=cast.teacher, at=AT)
    assert (uma.name, uma.family_name, uma.enrollments.get().section) == ("Uma Lund", "Lund", cast.section)
    assert len(entries("student.enrolled")) == 1


def test_a_student_without_a_number_is_asked_about(cast: Cast) -> None:
    arguments = {"section": cast.section, "name": "Uma Lund", "local_id": "", "by": cast.teacher, "at": AT}
    assert code_of(add_student, **arguments) == "student.no-number"
    add_student(**arguments, accept=True)
    assert code_of(add_student, **arguments) == "student.no-number"


def test_added_student_is_refused_when_number_is_taken_or_known(cast: Cast) -> None:
    arguments = {"section": cast.section, "local_id": "000417", "by": cast.teacher, "at": AT}
    add_student(name="Lund, Uma", **arguments)
    assert code_of(add_student, name="Berg, Ro", **arguments) == "student.number-taken"
    assert code_of(add_student, name="Uma Lund", **arguments) == "student.already-here"


def test_no_one_else_adds_a_student(cast: Cast) -> None:
    for person in may_not_change_the_class(cast):
        refused = code_of(add_student, section=cast.section, name="Uma Lund", local_id="1", by=person, at=AT)
        assert refused == "access.not-yours", person
