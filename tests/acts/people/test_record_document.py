"""Documents of another kind than the safety agreement: they count from their date on, for a number of days."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from machines.clearance import loading
from machines.clearance.facts import ClearanceResult, Standing
from machines.clearance.queries import answer_for
from shopsafe.school.models import Person
from shopsafe.school.people.acts.documents import record_document, withdraw_document
from shopsafe.school.people.queries import people_of
from shopsafe.school.people.rules import documents
from tests.acts.reading import code_of, entries
from tests.factories.machines import NOON, Floor, asks, signed
from tests.rules.clearance.documents import FIT_RECORD

DAY = timedelta(days=1)
TODAY = date(2026, 10, 12)  # of NOON at the school


@pytest.fixture(autouse=True)
def fit_records(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setitem(documents.DOCUMENTS, FIT_RECORD.code, FIT_RECORD)
    loading._facts.cache_clear()  # a process keeps what a school asks for, with the kinds of documents that it knows
    yield
    loading._facts.cache_clear()


@pytest.fixture
def where(floor: Floor) -> dict[str, Any]:
    return {"section": floor.cast.section, "kind": FIT_RECORD, "by": floor.cast.teacher, "at": NOON}


def record(floor: Floor, where: dict[str, Any], dated: date = TODAY) -> list[Person]:
    return record_document(students=[floor.cast.student], signed_on=dated, **where)


def answer(floor: Floor, at: datetime = NOON) -> ClearanceResult:
    return answer_for(floor.cast.student, floor.drill_1, at)


def test_is_recorded_withdrawn_and_recorded_again(floor: Floor, where: dict[str, Any]) -> None:
    student = floor.cast.student
    assert record(floor, where) == [student]
    assert code_of(record, floor, where) == "document.recorded-already"
    assert record(floor, where, TODAY - DAY) == [student]  # of another date
    assert people_of(floor.cast.section, day=TODAY)[0].documents_by_kind[-1] == (FIT_RECORD, TODAY)
    for dated in (TODAY, TODAY - DAY):  # the latest first
        assert withdraw_document(student=student, reason="Another's.", **where).signed_on == dated
    assert code_of(withdraw_document, student=student, reason="Another's.", **where) == "document.none"
    assert record(floor, where) == [student]
    assert "respirator fit record" in entries("document.recorded")[0]
    assert len(entries("document.taken_back")) == 2
    assert not entries("agreement.recorded")


def test_a_document_that_counts_no_more_is_not_recorded(floor: Floor, where: dict[str, Any]) -> None:
    assert code_of(record, floor, where, TODAY - 366 * DAY) == "document.too-old"
    assert code_of(record, floor, where, TODAY + DAY) == "document.in-future"
    assert record(floor, where, TODAY - 365 * DAY)


def test_a_machine_that_requires_it_is_closed_without_it(floor: Floor, where: dict[str, Any]) -> None:
    student = floor.cast.student
    asks(floor.drill, agreement=False, documents=FIT_RECORD.code, ends_with="never")
    signed(student, floor.drill_1, floor.cast.teacher)
    (reason,) = answer(floor).reasons
    assert (reason.code, reason.sentence, reason.about) == ("document.missing", FIT_RECORD.missing, FIT_RECORD.code)
    record(floor, where, TODAY - 360 * DAY)
    cleared = answer(floor)
    assert (cleared.standing, cleared.ending.document) == (Standing.CLEARED, FIT_RECORD.code)
    assert not answer(floor, cleared.ending.at).cleared
    assert answer(floor, cleared.ending.at - DAY).cleared


def test_a_kind_that_this_version_does_not_know_clears_no_one(
    floor: Floor, where: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    asks(floor.drill, agreement=False, documents=FIT_RECORD.code, ends_with="never")
    signed(floor.cast.student, floor.drill_1, floor.cast.teacher)
    record(floor, where)
    monkeypatch.delitem(documents.DOCUMENTS, FIT_RECORD.code)
    assert FIT_RECORD.code in answer(floor).reasons[0].sentence
