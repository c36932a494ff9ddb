"""What raw SQL is refused, on both engines: the logbook is kept by the database, not by good manners."""

# ruff: noqa: S608  the statements are written here, and are the point

from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, connection, transaction

from shopsafe.logbook.append import append
from shopsafe.logbook.models import Body, Checkpoint, Entry, Erasure
from shopsafe.logbook.rules import chain
from tests.logbook.logbook_bypass import GUARDED

AT = datetime(2026, 9, 14, 13, 5, 9, tzinfo=UTC)
BYTES = "x'00'" if connection.vendor == "sqlite" else "'\\x00'::bytea"

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _three_entries_the_second_erased() -> None:
    for name in ("Amira Kaya", "Ben Ode"):
        append(kind="signoff.made", school=1, at=AT, payload={"student": {"id": 1, "name": name}})
    erasing_entry = append(kind=chain.ERASED, school=1, at=AT, payload={"reason": "left school", "seqs": [2]})
    Erasure.objects.create(entry_id=2, by=erasing_entry)
    Body.objects.filter(pk=2).delete()
    Checkpoint.objects.create(size=3, root=bytes(32), peaks=bytes(64), at=AT)
    connection.check_constraints()


def counts() -> list[int]:
    return [model.objects.count() for model in (Entry, Body, Erasure, Checkpoint)]


def refused(statement: str, *parameters: object, match: str = "logbook|body|entry|erasure|checkpoint") -> None:
    before = counts()
    with pytest.raises(IntegrityError, match=match), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, parameters)
    assert counts() == before


@pytest.mark.parametrize(
    ("table", "column"),
    [
        *(("logbook_entry", column) for column in ("prev", "header", "commitment", "hash")),
        ("logbook_body", "salt"),
        ("logbook_body", "payload"),
        ("logbook_checkpoint", "root"),
        ("logbook_checkpoint", "peaks"),
    ],
)
def test_refuses_every_update(table: str, column: str) -> None:
    refused(f"UPDATE {table} SET {column} = {BYTES}", match="never changed")


@pytest.mark.parametrize(
    ("table", "column"),
    [("logbook_entry", "seq"), ("logbook_body", "seq"), ("logbook_erasure", "by_id"), ("logbook_checkpoint", "size")],
)
def test_refuses_to_renumber(table: str, column: str) -> None:
    refused(f"UPDATE {table} SET {column} = {column} + 7", match="never changed")


@pytest.mark.parametrize("table", ["logbook_entry", "logbook_erasure", "logbook_checkpoint"])
def test_refuses_every_delete(table: str) -> None:
    refused(f"DELETE FROM {table}", match="never shortened")


def test_refuses_to_delete_a_body_that_no_entry_names() -> None:
    refused("DELETE FROM logbook_body", match="named it as erased")
    refused("DELETE FROM logbook_body WHERE seq = 1", match="named it as erased")


def test_refuses_an_erasure_that_its_entry_does_not_name() -> None:
    refused("INSERT INTO logbook_erasure (seq, by_id) VALUES (1, 3)", match="that names it")


def test_refuses_an_erasure_by_an_entry_of_another_kind() -> None:
    other = append(kind="hold.placed", school=1, at=AT, payload={"seqs": [1]})
    refused("INSERT INTO logbook_erasure (seq, by_id) VALUES (1, %s)", other.seq, match="that names it")


def test_refuses_to_erase_an_erasure() -> None:
    erasing_entry = append(kind=chain.ERASED, school=1, at=AT, payload={"seqs": [3]})
    refused("INSERT INTO logbook_erasure (seq, by_id) VALUES (3, %s)", erasing_entry.seq, match="that names it")


def test_refuses_an_entry_out_of_order() -> None:
    last = Entry.objects.get(pk=3)
    row = "INSERT INTO logbook_entry (seq, prev, header, commitment, hash) VALUES (%s, %s, %s, %s, %s)"
    for seq, prev in ((5, bytes(last.hash)), (4, bytes(last.prev)), (4, bytes(32)), (0, bytes(32)), (2, b"")):
        refused(row, seq, prev, b"{}", bytes(32), b"h" * 32, match="follows the last one")


@pytest.mark.parametrize("seq", [2, 3, 4])
def test_refuses_a_body_for_an_earlier_entry_and_for_none(seq: int) -> None:
    row = "INSERT INTO logbook_body (seq, salt, payload) VALUES (%s, %s, %s)"
    refused(row, seq, bytes(32), b"{}", match="belongs to an entry")


def test_refuses_a_checkpoint_over_entries_that_are_not_there() -> None:
    row = "INSERT INTO logbook_checkpoint (size, root, peaks, at) VALUES (4, %s, %s, %s)"
    refused(row, bytes(32), bytes(32), AT, match="entries that are there")


OTHER_WAYS = {
    "sqlite": [
        f"INSERT OR REPLACE INTO logbook_entry SELECT seq, prev, {BYTES}, commitment, hash FROM logbook_entry",
        f"REPLACE INTO logbook_entry SELECT seq, prev, {BYTES}, commitment, hash FROM logbook_entry WHERE seq = 3",
        f"REPLACE INTO logbook_entry SELECT 4, hash, {BYTES}, commitment, hash FROM logbook_entry WHERE seq = 3",
        f"REPLACE INTO logbook_body SELECT seq, salt, {BYTES} FROM logbook_body WHERE seq = 3",
        "REPLACE INTO logbook_erasure SELECT seq, by_id FROM logbook_erasure",
        f"REPLACE INTO logbook_checkpoint SELECT size, {BYTES}, peaks, at FROM logbook_checkpoint",
        f"UPDATE OR REPLACE logbook_entry SET hash = {BYTES}",
        f"INSERT INTO logbook_body SELECT seq, salt, payload FROM logbook_body WHERE seq = 3 "
        f"ON CONFLICT (seq) DO UPDATE SET payload = {BYTES}",
    ],
    "postgresql": [
        *(f"TRUNCATE {table} CASCADE" for table in GUARDED),
        f"INSERT INTO logbook_entry SELECT * FROM logbook_entry WHERE seq = 3 ON CONFLICT (seq) "
        f"DO UPDATE SET header = {BYTES}",
        f"INSERT INTO logbook_body SELECT * FROM logbook_body WHERE seq = 3 ON CONFLICT (seq) "
        f"DO UPDATE SET payload = {BYTES}",
    ],
}


@pytest.mark.parametrize("statement", OTHER_WAYS[connection.vendor])
def test_refuses_the_ways_round(statement: str) -> None:
    held = list(Body.objects.order_by("pk").values_list("pk", "payload"))
    refused(statement)
    assert list(Body.objects.order_by("pk").values_list("pk", "payload")) == held
