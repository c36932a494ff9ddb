"""Shop setup: the first school of an installation, and its first shop."""

from datetime import UTC, date, datetime
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from shopsafe.school.models import Person, School, Section, Shop
from shopsafe.school.places.acts.founding import begin_school
from shopsafe.school.places.acts.set_up import begin_shop
from shopsafe.school.signing_in.codes.setup_code import is_setup_code, setup_code
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.people import SchoolFactory, TeacherFactory

AT = datetime(2026, 8, 20, 14, 0, tzinfo=UTC)
SHOP: dict[str, Any] = {
    "shop": "Room W2",
    "section": "9 Teak",
    "term": "Autumn",
    "first_day": date(2026, 8, 20),
    "last_day": date(2026, 12, 18),
    "at": AT,
}


def new() -> dict[str, Any]:
    return {
        "setup_code": setup_code(),
        "name": "Alderbeck School",
        "time_zone": "America/Denver",
        "teacher_name": "Odile Ferrant",
        "teacher_password": "plumb line and level",
        "office_name": "School office",
        "office_password": "ledger on the top shelf",
        "at": AT,
    }


def test_setup_code_creates_a_teacher_and_an_office_account(db: None) -> None:
    teacher = begin_school(**new())
    assert (teacher.role, teacher.check_password("plumb line and level")) == ("teacher", True)
    assert Person.objects.get(role="office").check_password("ledger on the top shelf")
    assert (len(entries("school.founded")), len(entries("staff.added"))) == (1, 1)
    assert "plumb line" not in "".join(entries("staff.added"))


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("setup_code", "AAAA-AAAA", "begin.code"),
        ("setup_code", "", "begin.code"),
        ("setup_code", "日本", "begin.code"),
        ("office_name", "ODILE Ferrant.", "begin.same-name"),
        ("office_password", "plumb line and level", "begin.same-password"),
        ("teacher_password", "short", "begin.weak-password"),
        ("office_password", "short", "school.weak-password"),
        ("time_zone", "Mars/Base", "school.bad-field"),
    ],
)
def test_anything_wrong_leaves_nothing(db: None, field: str, value: str, code: str) -> None:
    assert code_of(begin_school, **(new() | {field: value})) == code
    assert (School.objects.count(), Person.objects.count()) == (0, 0)


def test_no_one_begins_a_second_school_with_it(db: None) -> None:
    begin_school(**new())
    assert code_of(begin_school, **(new() | {"name": "Another"})) == "begin.there"
    assert School.objects.count() == 1


def test_setup_code_ignores_case_and_prints_only_without_a_school(db: None) -> None:
    assert is_setup_code(setup_code().lower().replace("-", " "))
    output = StringIO()
    call_command("setup_code", stdout=output)
    assert setup_code() in output.getvalue()
    SchoolFactory()
    output = StringIO()
    call_command("setup_code", stdout=output)
    assert output.getvalue() == ""


def test_a_teacher_begins_the_first_shop_with_a_term_and_a_class(db: None) -> None:
    teacher = TeacherFactory()
    section = begin_shop(**SHOP, by=teacher)
    assert (section.shop.name, section.term.last_day) == ("Room W2", date(2026, 12, 18))
    assert list(section.teachers.all()) == list(section.shop.teachers.all()) == [teacher]
    assert [len(entries(kind)) for kind in ("shop.added", "term.added", "section.added")] == [1, 1, 1]
    assert code_of(begin_shop, **SHOP, by=teacher) == "begin.shop-there"


def test_a_term_that_ends_before_it_begins_leaves_nothing(db: None) -> None:
    wrong = SHOP | {"last_day": date(2026, 8, 1)}
    assert code_of(begin_shop, **wrong, by=TeacherFactory()) == "set-up.not-valid"
    assert not Shop.objects.exists()


def test_shop_setup_refuses_a_past_term_and_accepts_one_ending_today(db: None) -> None:
    wrong = SHOP | {"first_day": date(2026, 5, 1), "last_day": date(2026, 8, 19)}
    assert code_of(begin_shop, **wrong, by=TeacherFactory()) == "begin.term-over"
    assert not Shop.objects.exists()
    assert begin_shop(**(wrong | {"last_day": date(2026, 8, 20)}), by=TeacherFactory())


def test_no_one_else_begins_a_shop(cast: Cast) -> None:
    before = Section.objects.count()
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(begin_shop, **SHOP, by=person) == "access.not-yours"
    assert code_of(begin_shop, **SHOP, by=cast.teacher) == "begin.shop-there"
    assert Section.objects.count() == before
