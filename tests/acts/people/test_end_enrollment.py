"""A student leaves a class."""

from datetime import UTC, date, datetime

from shopsafe.school import access
from shopsafe.school.people.acts.students import end_enrollment
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def test_today_is_the_last_day_that_counts(cast: Cast) -> None:
    ended = end_enrollment(section=cast.section, student=cast.student, by=cast.teacher, at=AT)
    assert ended.until_day == date(2026, 10, 12)
    assert not access.sections_for(cast.student).exists()
    assert len(entries("enrolment.ended")) == 1


def test_enrollment_ends_on_its_first_day_when_it_starts_later(cast: Cast) -> None:
    late = EnrollmentFactory(section=cast.section, from_day=date(2026, 11, 1)).student
    ended = end_enrollment(section=cast.section, student=late, by=cast.teacher, at=AT)
    assert ended.until_day == date(2026, 11, 1)


def test_a_second_time_is_refused_and_so_is_a_stranger(cast: Cast) -> None:
    arguments = {"section": cast.section, "by": cast.teacher, "at": AT}
    end_enrollment(student=cast.student, **arguments)
    assert code_of(end_enrollment, student=cast.student, **arguments) == "class.left"
    assert code_of(end_enrollment, student=cast.stranger_student, **arguments) == "class.left"


def test_nobody_else_may(cast: Cast) -> None:
    for person in may_not_change_the_class(cast):
        refused = code_of(end_enrollment, section=cast.section, student=cast.student, by=person, at=AT)
        assert refused == "access.not-yours", person
    assert cast.student.enrollments.get().until_day is None
