"""A student moves to another class."""

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.http import Http404

from shopsafe.school.models import Enrollment, Section
from shopsafe.school.people.acts.moves import move_student
from shopsafe.school.people.classes import students_of
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory, SectionFactory, ShopFactory, TermFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


@pytest.fixture
def other(cast: Cast) -> Section:
    """A colleague's class in the same shop."""
    section: Section = SectionFactory(shop=cast.shop, term=cast.section.term)
    section.teachers.add(cast.colleague)
    return section


def move(cast: Cast, to: Section, **more: Any) -> Enrollment:
    arguments = {"section": cast.section, "student": cast.student, "to": to, "by": cast.teacher, "at": AT}
    return move_student(**arguments | more)


def test_student_is_in_both_classes_today_and_in_the_new_class_from_tomorrow(cast: Cast, other: Section) -> None:
    assert move(cast, other).from_day == date(2026, 10, 12)
    tomorrow = AT + timedelta(days=1)
    in_class = [cast.student in students_of(section, at) for section in (cast.section, other) for at in (AT, tomorrow)]
    assert in_class == [True, False, True, True]
    [entry] = map(json.loads, entries("student.moved"))
    assert [section["name"] for section in entry["sections"]] == [cast.section.name, other.name]


def test_move_back_on_the_same_day_is_possible_once_the_last_day_is_over_only(cast: Cast, other: Section) -> None:
    move(cast, other)
    back = {"section": other, "by": cast.colleague}
    assert code_of(move, cast, cast.section, **back) == "move.already-there"
    assert move(cast, cast.section, **back, at=AT + timedelta(days=1)).section == cast.section


@pytest.mark.parametrize("last_day", [date(2026, 10, 11), date(2026, 10, 12)])
def test_class_of_a_term_that_is_over_is_refused(cast: Cast, last_day: date) -> None:
    term = TermFactory(school=cast.school, first_day=date(2026, 9, 1), last_day=last_day)
    over = SectionFactory(shop=cast.shop, term=term)
    if last_day < AT.date():
        assert code_of(move, cast, over) == "move.term-over"
    else:
        assert move(cast, over).section == over


def test_same_class_and_a_class_where_the_student_is_already_are_refused(cast: Cast, other: Section) -> None:
    assert code_of(move, cast, cast.section) == "move.same-class"
    EnrollmentFactory(section=other, student=cast.student)
    assert code_of(move, cast, other) == "move.already-there"
    assert not entries("student.moved")


def test_student_of_another_class_is_refused(cast: Cast, other: Section) -> None:
    stranger = EnrollmentFactory(section=other).student
    assert code_of(move, cast, other, student=stranger) == "class.left"


def test_class_out_of_sight_is_not_there(cast: Cast) -> None:
    elsewhere = SectionFactory(shop=ShopFactory(school=cast.school), term=cast.section.term)
    for section in (elsewhere, cast.stranger_section):
        with pytest.raises(Http404):
            move(cast, section)
    assert move(cast, elsewhere, by=cast.office).section == elsewhere


def test_no_one_else_may(cast: Cast, other: Section) -> None:
    for person in may_not_change_the_class(cast):
        assert code_of(move, cast, other, by=person) == "access.not-yours", person
    assert cast.student.enrollments.get().until_day is None
