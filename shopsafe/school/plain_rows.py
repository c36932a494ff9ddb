"""Rows of a plain SELECT about a set of people, as tuples, on either engine.

For the few statements that a whole class or school is loaded by: there the ORM's compiling, converting and building of
instances costs more than the database. What is written here must be SQL that SQLite and PostgreSQL both read.
"""

from collections.abc import Collection
from datetime import UTC, datetime
from typing import Any

from django.db import connection
from django.db.models import Model


def plain_rows(statement: str, ids: Collection[int], at: datetime) -> list[tuple[Any, ...]]:
    """`IN ({ids})` stands for the keys and `%(at)s` for the moment. Moments in the rows go through `moment`.

    The keys are written out: as parameters a school of them could be more than the engine takes. Join by LEFT JOIN,
    also where there always is a row: for all students of a school SQLite would otherwise start from the few editions,
    and read the attempts of every other school as well.
    """
    if not ids:
        return []
    with connection.cursor() as cursor:
        cursor.execute(*_asked(statement, ids, at))
        return cursor.fetchall()


def plain_instances(model: type[Model], statement: str, ids: Collection[int], at: datetime) -> list[Any]:
    """The same as instances of a model, all of whose columns the statement must give; its other columns beside them."""
    return list(model._default_manager.raw(*_asked(statement, ids, at))) if ids else []


def _asked(statement: str, ids: Collection[int], at: datetime) -> tuple[str, dict[str, Any]]:
    keys = ",".join(str(int(pk)) for pk in ids)
    return statement.replace("{ids}", keys), {"at": connection.ops.adapt_datetimefield_value(at)}


def moment(stored: datetime) -> datetime:
    """A moment out of a row: SQLite keeps it in UTC and does not say so."""
    return stored if stored.tzinfo else stored.replace(tzinfo=UTC)
