"""What is on record stays as it was recorded, however the database is written: raw SQL, on both engines."""

# ruff: noqa: S608  the statements are written here, and are the point

import json
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, connection, models, transaction

from machines.holds.acts import lift_hold, place_hold
from machines.models import Hold, Machine, SignOff, TagOut
from machines.records.acts import erase_student
from machines.sign_offs.acts import sign_off, undo_sign_off, withdraw_sign_off
from machines.tag_outs.acts import tag_out
from quizzes.attempts.acts import void_attempt
from quizzes.models import Attempt
from shopsafe.logbook.erase import erase
from shopsafe.school.models import Person, StudentDocument
from shopsafe.school.people.acts.moves import end_enrollment
from tests.factories.kept import kept
from tests.factories.logbook import note
from tests.factories.machines import NOON, POINTS, Floor, passed
from tests.factories.reports.inspections import returned

RECORDS = (
    "machines_signoff",
    "machines_hold",
    "machines_hold_machines",
    "machines_tagout",
    "quizzes_attempt",
    "school_safetyagreement",
)

HOUR = timedelta(hours=1)
LATER = NOON + timedelta(days=40)
ENGINE = connection.vendor

# What an act writes into a row that is there, once. Anything else of a row never changes.
ENDS: dict[type[models.Model], set[str]] = {
    SignOff: {"entry_id", "undone_at", "undone_by_id", "withdrawn_at", "withdrawn_by_id", "withdrawn_reason"},
    Hold: {"entry_id", "learned", "lifted_at", "lifted_by_id", "lifted_words"},
    TagOut: {"entry_id", "returned_at", "returned_by_id", "inspection"},
    Attempt: {
        *("handed_in_at", "correct", "missed_rules", "missed_questions", "entry_id", "entered_by_id"),
        *("voided_at", "voided_by_id", "void_reason"),
    },
    StudentDocument: {"taken_back_at", "taken_back_by_id", "taken_back_reason"},
}
EVERY_COLUMN = [
    pytest.param(model, field.column, id=f"{model._meta.db_table}.{field.column}")
    for model in ENDS
    for field in model._meta.concrete_fields
    if not field.generated
]


@kept
def make_ended(floor: Floor) -> None:
    """One row of every kind about the student, each with its entry in the logbook, and all of them ended."""
    student, teacher = floor.cast.student, floor.cast.teacher
    floor.make_ready(student)
    note(student)
    Attempt.objects.filter(student=student).delete()  # they came without an entry
    for bank in (floor.general, floor.saw_bank):
        passed(student, bank, entry=note(student))
    first = signed_off(floor)
    hold = place_hold(
        student=student, machines=[floor.saw_3], reason="misuse", lifts="talk", by=teacher, tap=uuid4(), at=NOON
    )
    tag_out_row = tag_out(machine=floor.drill_1, reason="Belt torn", by=teacher, tap=uuid4(), at=NOON)
    lift_hold(hold=hold, by=teacher, words="Talked", at=NOON + HOUR)
    returned(tag_out_row, teacher, NOON + HOUR)
    withdraw_sign_off(sign_off=first, by=teacher, reason="Wrong saw", at=NOON + HOUR)
    for attempt in Attempt.objects.all():
        void_attempt(by=teacher, attempt=attempt.pk, reason="Helped", at=NOON + HOUR)
    StudentDocument.objects.update(taken_back_at=NOON, taken_back_by=teacher, taken_back_reason="Wrong student")


@kept
def make_open(floor: Floor) -> None:
    """A sign-off, a hold and a tag-out that stand."""
    student, teacher = floor.cast.student, floor.cast.teacher
    floor.make_ready(student)
    signed_off(floor)
    place_hold(student=student, machines=None, reason="misuse", lifts="talk", by=teacher, tap=uuid4(), at=NOON)
    tag_out(machine=floor.drill_1, reason="Belt torn", by=teacher, tap=uuid4(), at=NOON)


@pytest.fixture
def ended(floor: Floor) -> Floor:
    make_ended(floor)
    connection.check_constraints()
    return floor


def signed_off(floor: Floor) -> SignOff:
    asked: dict[str, Any] = {"student": floor.cast.student, "machine": floor.saw_2, "by": floor.cast.teacher}
    return sign_off(**asked, ticked=POINTS, tap=uuid4(), at=NOON)


def run(statement: str, *parameters: object) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, parameters)


def refused(statement: str, *parameters: object, match: str = "on record") -> None:
    before = [sorted(map(repr, rows)) for rows in everything()]
    with pytest.raises(IntegrityError, match=match):
        run(statement, *parameters)
    assert [sorted(map(repr, rows)) for rows in everything()] == before


def everything() -> Iterator[list[Any]]:
    for table in RECORDS:
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT * FROM {table}")
            yield cursor.fetchall()


def another(model: type[models.Model], column: str) -> Any:
    """A value of the column's kind that its rows don't have."""
    field = next(model_field for model_field in model._meta.concrete_fields if model_field.column == column)
    now = field.value_from_object(model._default_manager.order_by("pk")[0])
    match now:
        case bool():
            value: Any = not now
        case int():
            value = now + 1
        case datetime() | date():
            value = now + timedelta(days=1)
        case UUID():
            value = uuid4()
        case list() | dict():
            value = {"other": True}
        case None:
            value = {"DateField": NOON.date(), "DateTimeField": NOON}.get(field.get_internal_type(), 1)
        case _:
            value = f"{now}x"[-7:]
    return field.get_db_prep_save(value, connection)


@pytest.mark.parametrize(("model", "column"), EVERY_COLUMN)
def test_nothing_of_a_record_that_is_closed_changes(ended: Floor, model: type[models.Model], column: str) -> None:
    # A sign-off that is withdrawn can't be undone beside that: a constraint of the table says so.
    how = "undone_by_somebody" if column == "undone_at" else "not changed"
    refused(f"UPDATE {model._meta.db_table} SET {column} = %s", another(model, column), match=how)


@pytest.mark.parametrize(
    ("model", "column"), [case for case in EVERY_COLUMN if case.values[1] not in ENDS[case.values[0]]]
)
def test_open_record_cannot_be_changed(floor: Floor, model: type[models.Model], column: str) -> None:
    make_open(floor)
    refused(f"UPDATE {model._meta.db_table} SET {column} = %s", another(model, column), match="not changed")


@pytest.mark.parametrize("table", RECORDS)
def test_no_record_is_removed(ended: Floor, table: str) -> None:
    refused(f"DELETE FROM {table}", match="not removed")


@pytest.mark.parametrize("table", RECORDS)
def test_ended_record_cannot_be_reopened(ended: Floor, table: str) -> None:
    """The ends are not taken away either: a hold that was lifted was lifted."""
    ends = {"machines_hold": "lifted_at", "machines_tagout": "returned_at", "quizzes_attempt": "voided_at"}
    ends |= {"machines_signoff": "withdrawn_at", "school_safetyagreement": "taken_back_at"}
    refused(f"UPDATE {table} SET {ends.get(table, 'hold_id')} = NULL", match="not changed")


def test_machines_of_a_hold_are_not_added_changed_or_taken_away(ended: Floor) -> None:
    refused("UPDATE machines_hold_machines SET machine_id = %s", ended.saw_2.pk, match="not changed")
    (hold,) = Hold.objects.all()
    row = "INSERT INTO machines_hold_machines (hold_id, machine_id) VALUES (%s, %s)"
    refused(row, hold.pk, ended.saw_2.pk, match="written once")


WAYS_ROUND = {
    "sqlite": [
        ("INSERT OR REPLACE INTO {table} SELECT * FROM {table}", t)
        for t in ("machines_hold", "machines_tagout", "machines_hold_machines")
    ]
    + [
        ("UPDATE OR REPLACE {table} SET id = id + 1", "machines_signoff"),
        ("INSERT INTO {table} SELECT * FROM {table} WHERE 1 ON CONFLICT (id) DO UPDATE SET at = 1", "machines_tagout"),
    ],
    "postgresql": [("TRUNCATE {table} CASCADE", table) for table in RECORDS],
}


@pytest.mark.parametrize(("way", "table"), WAYS_ROUND[ENGINE])
def test_the_ways_round_are_closed(ended: Floor, way: str, table: str) -> None:
    refused(way.format(table=table), match="record")


@pytest.mark.skipif(ENGINE != "sqlite", reason="only SQLite has INSERT OR REPLACE")
@pytest.mark.parametrize("model", [SignOff, StudentDocument, TagOut, Attempt])
def test_a_new_row_does_not_take_the_place_of_another(floor: Floor, model: type[models.Model]) -> None:
    """By another number, but with what only one row may have."""
    floor.make_ready(floor.cast.student)
    signed_off(floor)
    tag_out(machine=floor.drill_1, reason="Belt torn", by=floor.cast.teacher, tap=uuid4(), at=NOON)
    Attempt.objects.create(**a_sheet(floor))
    field = [model_field.column for model_field in model._meta.concrete_fields if not model_field.generated]
    other = {"id": "(SELECT 'f' || substr(max(id), 2) FROM quizzes_attempt)" if model is Attempt else "id + 100"}
    taken = ", ".join(other.get(column, column) for column in field)
    table = model._meta.db_table
    where = "WHERE paper_code <> ''" if model is Attempt else ""
    refused(
        f"INSERT OR REPLACE INTO {table} ({', '.join(field)}) SELECT {taken} FROM {table} {where}", match="written once"
    )


def a_sheet(floor: Floor) -> dict[str, Any]:
    """A quiz on paper that was handed in."""
    attempt = passed(floor.cast.student, floor.drill_1.kind.bank)
    fields = {
        f.name: getattr(attempt, f.name) for f in Attempt._meta.concrete_fields if not f.generated and f.name != "id"
    }
    teacher = floor.cast.teacher
    return fields | {"paper_code": "K7M2QX4", "printed_by": teacher, "entered_by": teacher}


def test_a_sign_off_is_undone_or_withdrawn_once(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    undone = undo_sign_off(sign_off=signed_off(floor), by=floor.cast.teacher, at=NOON)
    refused("UPDATE machines_signoff SET undone_at = NULL, undone_by_id = NULL", match="not changed")
    refused("UPDATE machines_signoff SET undone_by_id = %s", floor.cast.colleague.pk, match="not changed")
    refused("UPDATE machines_signoff SET entry_id = NULL WHERE id = %s", undone.pk, match="not changed")


def test_rules_learned_again_are_added_and_never_taken_away(floor: Floor) -> None:
    teacher = floor.cast.teacher
    hold = place_hold(
        student=floor.cast.student, machines=None, reason="misuse", lifts="talk", by=teacher, tap=uuid4(), at=NOON
    )
    earlier, later = NOON.isoformat(), LATER.isoformat()
    for learned in ({"r1": earlier}, {"r1": earlier, "r2": later}):
        Hold.objects.filter(pk=hold.pk).update(learned=learned)
    for fewer in ({}, {"r1": earlier}, {"r1": later, "r2": later}):
        refused("UPDATE machines_hold SET learned = %s", json.dumps(fewer), match="not changed")
    lift_hold(hold=hold, by=teacher, words="Talked", at=NOON)
    added = json.dumps({"r1": earlier, "r2": later, "r3": later})
    refused("UPDATE machines_hold SET learned = %s", added, match="not changed")


def test_an_erasure_of_someone_else_removes_nothing(ended: Floor) -> None:
    other = ended.cast.classmate
    note(other)
    with transaction.atomic():
        payload = {"reason": "Asked for", "person_key": other.pk}
        assert erase(key=f"person:{other.pk}", names=[other.name], school=other.school_id, at=LATER, payload=payload)
    for table in RECORDS:
        refused(f"DELETE FROM {table}", match="not removed")


def test_erasure_removes_student_records_and_keeps_machine_records(ended: Floor) -> None:
    end_enrollment(section=ended.cast.section, student=ended.cast.student, by=ended.cast.teacher, at=NOON)
    erase_student(student=ended.cast.student, reason="The family asked.", by=ended.cast.office, at=LATER)
    left = [type(row) for model in ENDS for row in model._default_manager.all()]
    assert left == [TagOut]
    assert not Person.objects.filter(pk=ended.cast.student.pk).exists()
    assert Machine.objects.filter(pk=ended.drill_1.pk).exists()


def test_every_trigger_stands_after_all_migrations(db: None) -> None:
    """A migration that makes one of these tables again on SQLite must put its triggers back."""
    trigger_queries = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE tgenabled IN ('O', 'A') AND NOT tgisinternal",
    }
    events = ("update", "delete", "insert") if ENGINE == "sqlite" else ("update", "delete", "truncate")
    with connection.cursor() as cursor:
        cursor.execute(trigger_queries[ENGINE])
        standing = {row[0] for row in cursor.fetchall()}
    assert {f"kept_{table}_{event}" for table in RECORDS for event in events} <= standing
