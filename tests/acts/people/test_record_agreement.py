"""The safety agreement: for this school year, of students of the class, once."""

from datetime import UTC, date, datetime

from shopsafe.school.models import StudentDocument
from shopsafe.school.people.acts.documents import record_document
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
SIGNED = date(2026, 9, 8)


def test_one_and_many_are_recorded_for_the_running_school_year(cast: Cast) -> None:
    arguments = {"section": cast.section, "signed_on": SIGNED, "by": cast.teacher, "at": AT}
    assert record_document(students=[cast.student], **arguments) == [cast.student]
    assert record_document(students=[cast.student, cast.classmate], **arguments) == [cast.classmate]
    kept = StudentDocument.objects.get(student=cast.classmate)
    assert (kept.year, kept.signed_on, kept.recorded_by, kept.recorded_at) == (2026, SIGNED, cast.teacher, AT)
    assert [
        f'"id":{who.pk}' in text
        for who, text in zip([cast.student, cast.classmate], entries("agreement.recorded"), strict=True)
    ] == [True, True]


def test_a_second_time_is_refused(cast: Cast) -> None:
    arguments = {"section": cast.section, "students": [cast.student], "signed_on": SIGNED, "by": cast.teacher, "at": AT}
    record_document(**arguments)
    assert code_of(record_document, **arguments) == "document.recorded-already"
    assert StudentDocument.objects.count() == 1


def test_a_form_signed_in_summer_counts_for_the_year_that_follows(cast: Cast) -> None:
    arguments = {"section": cast.section, "students": [cast.student], "by": cast.teacher, "at": AT}
    record_document(signed_on=date(2026, 6, 2), **arguments)
    assert StudentDocument.objects.get().year == 2026


def test_the_day_it_was_signed_must_make_sense(cast: Cast) -> None:
    arguments = {"section": cast.section, "students": [cast.student], "by": cast.teacher, "at": AT}
    assert code_of(record_document, signed_on=date(2026, 10, 13), **arguments) == "document.in-future"
    assert code_of(record_document, signed_on=date(2025, 9, 1), **arguments) == "document.too-old"


def test_today_is_the_school_s_today(cast: Cast) -> None:
    late = datetime(2026, 10, 13, 3, 0, tzinfo=UTC)  # still the 12th in Chicago
    arguments = {"section": cast.section, "students": [cast.student], "by": cast.teacher, "at": late}
    assert code_of(record_document, signed_on=date(2026, 10, 13), **arguments) == "document.in-future"


def test_only_students_of_the_class(cast: Cast) -> None:
    arguments = {"section": cast.section, "signed_on": SIGNED, "by": cast.teacher, "at": AT}
    assert code_of(record_document, students=[cast.stranger_student], **arguments) == "document.nobody"


def test_no_one_else_records_one(cast: Cast) -> None:
    arguments = {"section": cast.section, "students": [cast.student], "signed_on": SIGNED, "at": AT}
    for person in may_not_change_the_class(cast):
        assert code_of(record_document, by=person, **arguments) == "access.not-yours", person
    assert not StudentDocument.objects.exists()
    assert record_document(by=cast.office, **arguments) == [cast.student]
