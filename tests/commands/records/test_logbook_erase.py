"""manage.py logbook erase: shown first, then done, and nothing of the person is left on the disk."""

import json
from collections.abc import Iterator
from datetime import date, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client

from machines.holds.acts import place_hold
from shopsafe.database.sweeping import sweep
from shopsafe.logbook.models import Body, Entry
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person
from tests.cast import Cast, make_cast
from tests.factories.logbook import note
from tests.factories.machines import NOON, make_floor
from tests.factories.people import EnrollmentFactory

CANARIES = ("Quillonbrack Zephyrane", "LOCAL-93-KESTREL", "quillonbrackzephyrane", "hid the chuck key in the oven")


@pytest.fixture(autouse=True)
def after_leaving() -> Iterator[None]:
    """The student has left, and the term of the others goes on."""
    with time_machine.travel(NOON + timedelta(days=2)):
        yield


def said(*arguments: str) -> dict[str, Any]:
    output = StringIO()
    call_command("logbook", "erase", *arguments, stdout=output)
    return json.loads(output.getvalue())


def canary(cast: Cast) -> Person:
    """A student whose every word can be looked for, who has left, and who is signed in."""
    student = EnrollmentFactory(section=cast.section, student__name=CANARIES[0], student__local_id=CANARIES[1]).student
    make_floor(cast).make_cleared(student)
    note(student, kind="student.let_in", words=CANARIES[3] * 50)
    place_hold(
        student=student, machines=None, reason="other", words=CANARIES[3], lifts="talk", by=cast.teacher,
        tap="5d1f3c1e-0000-4000-8000-000000000001", at=NOON,
    )  # fmt: skip
    Client().force_login(student)
    student.enrollments.update(until_day=date(2026, 10, 13))
    return student


def on_disk() -> list[str]:
    """Which canaries still are in a file: of the database, its journals, and var/."""
    if connection.vendor == "postgresql":
        content = list(table_files())
    else:
        name = str(connection.settings_dict["NAME"])
        paths = {path for path in Path(settings.VAR).rglob("*") if path.is_file()} | {Path(name), Path(f"{name}-wal")}
        content = [path.read_bytes() for path in paths if path.is_file()]
    return [text for text in CANARIES if any(text.encode() in file_bytes for file_bytes in content)]


def table_files() -> Any:
    with connection.cursor() as cursor:
        cursor.execute("CHECKPOINT")
        cursor.execute(
            "SELECT pg_read_binary_file(pg_relation_filepath(oid), 0, pg_relation_size(oid), true) FROM pg_class "
            "WHERE relkind IN ('r', 'i', 't') AND relnamespace IN ('public'::regnamespace, 'pg_toast'::regnamespace)"
        )
        return [bytes(row[0]) for row in cursor.fetchall() if row[0]]


@pytest.mark.django_db(transaction=True)
def test_nothing_of_the_person_is_left_on_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shopsafe.database.sweeping.PATIENCE", 60)  # another worker's test may write on the same server
    cast = make_cast()
    student = canary(cast)
    assert len(on_disk()) == len(CANARIES), "the canaries must be there to begin with"
    entries = Entry.objects.count()
    answer = said(str(student.pk), "--really", "--reason", "The family asked for it.")
    assert (answer["swept"], answer["still_in"]) == (True, [])
    assert on_disk() == []
    verdict = verify()
    assert verdict.fault is None  # records are not compared: the factories make them without entries
    assert not verdict.unguarded
    assert (verdict.entries, verdict.erased) == (entries + 1, 2)
    assert Person.objects.filter(pk=cast.classmate.pk).exists()


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="it is PostgreSQL that keeps rows for who may see them")
@pytest.mark.parametrize(
    ("database", "query"),
    [(None, "SELECT count(*) FROM school_person"), ("postgres", "SELECT pg_current_xact_id()")],
    ids=["a reader here", "a writer in another database"],
)
def test_sweep_reports_an_older_transaction(monkeypatch: pytest.MonkeyPatch, database: str | None, query: str) -> None:
    monkeypatch.setattr("shopsafe.database.sweeping.PATIENCE", 0)
    note(make_cast().student)
    other = connection.copy()
    other.settings_dict = other.settings_dict | ({"NAME": database} if database else {})
    with other.cursor() as cursor:
        cursor.execute("BEGIN ISOLATION LEVEL REPEATABLE READ")
        cursor.execute(query)
        assert sweep() is False
        cursor.execute("ROLLBACK")
    other.close()


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "sqlite", reason="it is SQLite whose readers keep the write-ahead log")
def test_sweep_reports_a_reader_that_holds_the_log() -> None:
    import sqlite3

    cast = make_cast()
    reader = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM school_person").fetchone()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout = 50")
    note(cast.student)
    assert sweep() is False
    reader.execute("COMMIT")
    assert sweep() is True
    reader.close()


@pytest.mark.django_db
class TestShownFirst:
    def test_changes_nothing(self, cast: Cast) -> None:
        student = canary(cast)
        answer = said(student.name)
        assert answer["really"] is False
        assert answer["student"] == student.as_record()
        assert answer["rows"] == {"sign-off": 1, "hold": 1, "attempts": 2, "document handed in": 1, "class": 1}
        assert (answer["entries"], answer["written_again"], answer["stays"]) == (2, [], None)
        assert Person.objects.filter(pk=student.pk).exists()
        assert Body.objects.count() == 2

    def test_says_what_keeps_the_record(self, cast: Cast) -> None:
        assert said(cast.student.name)["stays"] == "The student is still in a class. End that first."

    def test_needs_a_reason_to_do_it(self, cast: Cast) -> None:
        student = canary(cast)
        with pytest.raises(CommandError, match="Say why the record is erased"):
            said(student.name, "--really")
        assert Person.objects.filter(pk=student.pk).exists()

    def test_inside_a_transaction_it_is_not_swept_and_says_so(self, cast: Cast) -> None:
        answer = said(canary(cast).name, "--really", "--reason", "Asked for.")
        assert answer["swept"] is False
