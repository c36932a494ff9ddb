"""Lifts the triggers of the logbook and of the records for as long as a block lasts, then puts the same ones back.

For tests alone: a tamper test has to tamper.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import QuerySet

from shopsafe.logbook.verification.guards import expected_triggers

GUARDED = ("logbook_entry", "logbook_body", "logbook_erasure", "logbook_checkpoint")
TRIGGERS = "SELECT name, sql, tbl_name FROM sqlite_master WHERE type = 'trigger'"


def guarded_tables() -> set[str]:
    """The logbook's own, and every table of records that an app has declared with a guard."""
    return {trigger.table for trigger in expected_triggers(connection.vendor).values()}


def lifting(connection: BaseDatabaseWrapper) -> tuple[list[str], list[str]]:
    """The statements that take the triggers away, and those that put them back."""
    tables = guarded_tables()
    if connection.vendor == "postgresql":
        # PostgreSQL alters no table that has checks waiting for the end of the transaction.
        wait = "SET CONSTRAINTS ALL IMMEDIATE; SET CONSTRAINTS ALL DEFERRED"
        down = [wait, *(f"ALTER TABLE {table} DISABLE TRIGGER USER" for table in tables)]
        return down, [wait, *(f"ALTER TABLE {table} ENABLE TRIGGER USER" for table in tables)]
    with connection.cursor() as cursor:
        triggers = [(name, sql) for name, sql, table in cursor.execute(TRIGGERS).fetchall() if table in tables]
    return [f'DROP TRIGGER "{name}"' for name, _ in triggers], [sql for _, sql in triggers]


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """The block may change and remove what the logbook and the records hold."""
    down, up = lifting(connection)
    run(connection, down)
    try:
        yield
    finally:
        run(connection, up)


def take_out(*querysets: QuerySet[Any]) -> None:
    """Delete rows of records as if they had never been: for a test that begins without them."""
    with lifted(connection):
        for rows in querysets:
            rows.delete()


def run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
