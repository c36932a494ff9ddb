"""A person with the whole database changes an inspection,  an inspection list, a service record or a review: verify
names the row, and the entry that says otherwise."""

# ruff: noqa: S608  the statements are written here, and are the point

from dataclasses import dataclass
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction

from machines.models import Inspection, InspectionList, Machine, ServiceRecord, TagOut
from machines.reports.inspections.acts.lists import start_inspections
from machines.reports.inspections.acts.service import ServiceDone, record_service
from quizzes.banks.editions.acts import record_review, withdraw_review
from quizzes.models import Review
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Listing
from shopsafe.logbook.verification.verify import Verdict, verify
from shopsafe.school.models import Person
from tests.acts.records.forgeries import copied, make_records
from tests.factories.banks import AT, DAY
from tests.factories.kept import kept
from tests.factories.reports.inspections import inspected
from tests.logbook.logbook_bypass import lifting
from tests.logbook.record import run

pytestmark = pytest.mark.django_db

LATER = AT + 3 * DAY
FREE_TAP = "'0123456789abcdef0123456789abcdef'"


@dataclass
class Listed:
    """A list that a type of machine has, an inspection by it, one before a return, a service and two reviews."""

    teacher: Person
    colleague: Person
    saw: Machine
    second_saw: Machine
    tag_out: TagOut
    list: InspectionList
    inspection: Inspection
    before_return: Inspection
    service: ServiceRecord
    review: Review
    withdrawn: Review


@kept
def make_listed() -> Listed:
    records = make_records()
    teacher = records.cast.teacher
    start_inspections(shop=records.saw.shop, by=teacher, at=LATER)
    inspection = inspected(records.second_saw, teacher, at=LATER + DAY, words="Belt a little loose")
    done = ServiceDone(day=LATER.date(), work="New belt", done_by="Ostrava Belts", parts="Belt")
    service = record_service(machine=records.second_saw, done=done, by=teacher, tap=uuid4(), at=LATER + DAY)
    asked = {"by": teacher, "bank": records.bank.pk, "edition": 1, "role": "Safety officer", "at": LATER + DAY}
    review, withdrawn = (
        record_review(name=name, reviewed_on=LATER.date(), **asked) for name in ("Ida Falk", "Jon Berg")
    )
    withdrawn = withdraw_review(by=teacher, review=withdrawn.pk, reason="Another print", at=LATER + 2 * DAY)
    return Listed(
        teacher, records.cast.colleague, records.saw, records.second_saw, records.tag_out,
        InspectionList.objects.get(kind=records.kind), inspection, Inspection.objects.get(scope="return"), service,
        review, withdrawn,
    )  # fmt: skip


@pytest.fixture
def listed() -> Listed:
    return make_listed()


def forged(*statements: str) -> Verdict:
    """What verify says once the triggers were lifted, the statements run, and the same triggers put back."""
    with transaction.atomic():
        down, up = lifting(connection)
        run([*down, *statements, *up])
        verdict = verify()
        transaction.set_rollback(True)
    assert not verdict.unguarded
    return verdict


# Row → its table, what verify calls it, and the kind of the entry that proves it.
INSPECTION = ("machines_inspection", "inspection", "inspection.made")
LIST = ("machines_inspectionlist", "inspection list", "inspection.list_set")
SERVICE = ("machines_servicerecord", "service record", "machine.serviced")
REVIEW = ("quizzes_review", "review", "bank.reviewed")
ROWS = {"inspection": INSPECTION, "before_return": INSPECTION, "list": LIST, "service": SERVICE, "review": REVIEW}
ROWS["withdrawn"] = ("quizzes_review", "review", "bank.review_withdrawn")
EARLY = "'2026-01-05 08:00:00+00:00'"

# Forgery → the row, and what it is set to; nothing: the row is deleted.
CHANGED = {
    "an inspection of another machine": ("inspection", "machine_id = {r.saw.pk}"),
    "an inspection by a colleague": ("inspection", "by_id = {r.colleague.pk}"),
    "an inspection at another interval": ("inspection", "scope = 'daily'"),
    "answers of an inspection": ("inspection", "answers = '[]'"),
    "an inspection that was not complete": ("inspection", "complete = NOT complete"),
    "words of an inspection": ("inspection", "words = ''"),
    "the moment of an inspection": ("inspection", f"at = {EARLY}"),
    "an inspection proved by another entry": ("inspection", "entry_id = {r.service.entry_id}"),
    "an inspection deleted": ("inspection", ""),
    "the reason of a second teacher": ("before_return", "reason = 'None'"),
    "parts replaced before a return": ("before_return", "parts = 'Blade'"),
    "an inspection before another return": ("before_return", "tag_out_id = {r.tag_out.pk}"),
    "lines of a list": ("list", "lines = '{{}}'"),
    "a list set by a colleague": ("list", "set_by_id = {r.colleague.pk}"),
    "a list set earlier": ("list", f"set_at = {EARLY}"),
    "a list deleted": ("list", ""),
    "a service of another machine": ("service", "machine_id = {r.saw.pk}"),
    "a service on another day": ("service", "day = '2026-01-05'"),
    "a service of something else": ("service", "did = 'New guard'"),
    "a service by someone else": ("service", "done_by = 'No one'"),
    "parts of a service": ("service", "parts = ''"),
    "a service recorded by a colleague": ("service", "by_id = {r.colleague.pk}"),
    "a service deleted": ("service", ""),
    "a review by someone else": ("review", "name = 'No one'"),
    "a review in another role": ("review", "role = 'Engineer'"),
    "a review on another day": ("review", "reviewed_on = '2026-01-05'"),
    "a review recorded by a colleague": ("review", "by_id = {r.colleague.pk}"),
    "a review deleted": ("review", ""),
    "a withdrawn review that counts again": (
        "withdrawn", "withdrawn_at = NULL, withdrawn_by_id = NULL, withdrawn_reason = ''"),
    "another reason of a withdrawal": ("withdrawn", "withdrawn_reason = 'No'"),
}  # fmt: skip
WITHDRAWN = "withdrawn_at = at, withdrawn_by_id = by_id, withdrawn_reason = 'No'"


def test_lists_and_reviews_hold_when_no_one_forged_them(listed: Listed) -> None:
    assert verify().says_wrong == ""


def faults_of(name: str, pk: int, verdict: Verdict) -> set[int]:
    """The entries at which verify names this record; 0 where no entry says anything of it."""
    assert verdict.fault is None
    return {fault.seq for fault in verdict.records if f"he {name} {pk} " in fault.sentence}


@pytest.mark.parametrize("forgery", CHANGED)
def test_verify_names_the_row_and_its_entry_after(forgery: str, listed: Listed) -> None:
    row, what = CHANGED[forgery]
    (table, name, kind), pk = ROWS[row], getattr(listed, row).pk
    verb = f"UPDATE {table} SET {what.format(r=listed)}" if what else f"DELETE FROM {table}"
    verdict = forged(f"{verb} WHERE id = {pk}")
    entries = set(Listing.objects.filter(kind=kind).values_list("entry", flat=True))
    assert faults_of(name, pk, verdict) & entries, verdict.says_wrong


@pytest.mark.parametrize("row", ["inspection", "list", "service", "review"])
def test_verify_names_a_row_that_no_act_made(row: str, listed: Listed) -> None:
    (table, name, _), pk = ROWS[row], getattr(listed, row).pk
    own = {"review": {"name": "'Nobody'"}, "list": {}}.get(row, {"tap": FREE_TAP})
    assert faults_of(name, 4711, forged(copied(table, f"id = {pk}", id="4711", **own))) == {0}


def test_verify_names_a_review_that_no_act_withdrew(listed: Listed) -> None:
    verdict = forged(f"UPDATE quizzes_review SET {WITHDRAWN} WHERE id = {listed.review.pk}")
    assert faults_of("review", listed.review.pk, verdict) == {0}


@pytest.mark.parametrize("row", ["inspection", "list", "service", "review"])
def test_verify_names_an_entry_without_its_row(row: str, listed: Listed) -> None:
    _, name, kind = ROWS[row]
    payload = {"by": listed.teacher.as_record(), row: 4711}
    with transaction.atomic():
        entry = append(kind=kind, school=listed.teacher.school_id, at=LATER + timedelta(days=4), payload=payload)
        verdict = verify()
        transaction.set_rollback(True)  # the entry leaves its other words out
    assert faults_of(name, 4711, verdict) == {entry.seq}
