"""A student leaves a class, today or after a day that is set, or stays after all."""

from datetime import UTC, date, datetime, timedelta

import time_machine

from shopsafe.school import access
from shopsafe.school.people.acts.moves import end_enrollment, keep_enrollment
from shopsafe.school.people.queries import students_of
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def test_today_is_the_last_day_that_counts(cast: Cast) -> None:
    ended = end_enrollment(section=cast.section, student=cast.student, by=cast.teacher, at=AT)
    assert ended.until_day == date(2026, 10, 12)
    with time_machine.travel(AT, tick=False):
        assert access.sections_for(cast.student).get() == cast.section
    with time_machine.travel(AT + timedelta(days=1), tick=False):
        assert not access.sections_for(cast.student).exists()
    assert len(entries("enrolment.ended")) == 1


def test_enrollment_ends_on_its_first_day_when_it_starts_later(cast: Cast) -> None:
    late = EnrollmentFactory(section=cast.section, from_day=date(2026, 11, 1)).student
    ended = end_enrollment(section=cast.section, student=late, by=cast.teacher, at=AT)
    assert ended.until_day == date(2026, 11, 1)


def test_student_stays_in_the_class_up_to_a_later_last_day(cast: Cast) -> None:
    arguments = {"section": cast.section, "student": cast.student, "by": cast.teacher, "at": AT}
    end_enrollment(last_day=date(2026, 10, 30), **arguments)
    for day, stays in ((date(2026, 10, 30), True), (date(2026, 10, 31), False)):
        assert (cast.student in students_of(cast.section, day)) is stays
    assert code_of(end_enrollment, last_day=date(2026, 10, 30), **arguments) == "class.left"
    assert code_of(end_enrollment, last_day=date(2026, 10, 11), **arguments) == "class.day-over"
    assert end_enrollment(last_day=date(2026, 10, 23), **arguments).until_day == date(2026, 10, 23)


def test_student_whose_last_day_is_set_is_kept_until_that_day_is_over(cast: Cast) -> None:
    arguments = {"section": cast.section, "student": cast.student, "by": cast.teacher}
    assert code_of(keep_enrollment, at=AT, **arguments) == "class.stays"
    end_enrollment(at=AT, **arguments)
    assert keep_enrollment(at=AT, **arguments).until_day is None
    assert len(entries("enrolment.kept")) == 1
    end_enrollment(at=AT, **arguments)
    assert code_of(keep_enrollment, at=AT + timedelta(days=1), **arguments) == "class.left"


def test_a_second_time_is_refused_and_so_is_a_stranger(cast: Cast) -> None:
    arguments = {"section": cast.section, "by": cast.teacher, "at": AT}
    end_enrollment(student=cast.student, **arguments)
    assert code_of(end_enrollment, student=cast.student, **arguments) == "class.left"
    assert code_of(end_enrollment, student=cast.stranger_student, **arguments) == "class.left"


def test_no_one_else_may(cast: Cast) -> None:
    for person in may_not_change_the_class(cast):
        refused = code_of(end_enrollment, section=cast.section, student=cast.student, by=person, at=AT)
        assert refused == "access.not-yours", person
        refused = code_of(keep_enrollment, section=cast.section, student=cast.student, by=person, at=AT)
        assert refused == "access.not-yours", person
    assert cast.student.enrollments.get().until_day is None
