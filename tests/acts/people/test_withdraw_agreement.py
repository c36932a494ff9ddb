"""A safety agreement recorded for the wrong student is taken back, and the right one recorded after it."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from machines.clearance.evidence import evidence_of
from shopsafe.school.models import StudentDocument
from shopsafe.school.people.acts.documents import record_document, withdraw_document
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
LATER = AT + timedelta(days=2)
SIGNED = date(2026, 9, 8)


@pytest.fixture
def given(cast: Cast) -> dict[str, Any]:
    """The agreement of the student, recorded."""
    by = {"section": cast.section, "by": cast.teacher}
    record_document(students=[cast.student], signed_on=SIGNED, at=AT, **by)
    return by | {"student": cast.student, "reason": "It was the other Moor.", "at": LATER}


def test_it_stands_no_more_and_stays_on_record(given: dict[str, Any]) -> None:
    taken = withdraw_document(**given)
    assert (taken.taken_back_at, taken.taken_back_by, taken.signed_on) == (LATER, given["by"], SIGNED)
    assert ["It was the other Moor." in text for text in entries("agreement.taken_back")] == [True]


def test_the_right_form_is_recorded_after_it(cast: Cast, given: dict[str, Any]) -> None:
    withdraw_document(**given)
    by = {"section": cast.section, "by": cast.teacher}
    assert record_document(students=[cast.student], signed_on=SIGNED, at=LATER, **by) == [cast.student]
    assert StudentDocument.objects.filter(student=cast.student).count() == 2


def test_a_second_time_is_refused_and_so_is_a_student_without_one(cast: Cast, given: dict[str, Any]) -> None:
    withdraw_document(**given)
    assert code_of(withdraw_document, **given) == "document.none"
    assert code_of(withdraw_document, **given | {"student": cast.classmate}) == "document.none"
    assert len(entries("agreement.taken_back")) == 1


def test_it_needs_a_reason(given: dict[str, Any]) -> None:
    assert code_of(withdraw_document, **given | {"reason": " "}) == "document.no-reason"


def test_no_one_else_takes_one_back(cast: Cast, given: dict[str, Any]) -> None:
    for person in may_not_change_the_class(cast):
        assert code_of(withdraw_document, **given | {"by": person}) == "access.not-yours", person
    assert StudentDocument.objects.get().taken_back_at is None


def test_withdrawn_agreement_still_counts_before_its_withdrawal(cast: Cast, given: dict[str, Any]) -> None:
    withdraw_document(**given)
    [known] = evidence_of([cast.student.pk], cast.school, LATER, counted=())[cast.student.pk].documents
    assert (known.recorded_at, known.gone_at) == (AT, LATER)
