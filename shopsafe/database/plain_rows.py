"""Rows of a plain SELECT, as tuples or as instances, on either engine.

For the few statements that a whole class or school is loaded by, or that are sent with every answer: there the ORM's
compiling, converting and building of instances costs more than the database. What is written here must be SQL that
SQLite and PostgreSQL both read.
"""

from collections.abc import Callable, Collection, Sequence
from datetime import UTC, date, datetime
from functools import cached_property
from typing import Any

from django.db import connection
from django.db.models import Field, Model
from django.db.models.base import ModelState


def plain_rows(statement: str, ids: Collection[int], at: datetime, day: date | None = None) -> list[tuple[Any, ...]]:
    """`IN ({ids})` stands for the keys, `%(at)s` for the moment and `%(day)s` for the day, where one is
    given. Moments in the rows go through `moment`.

    The keys are written out: as parameters a school of them could be more than the engine takes. Join by LEFT JOIN,
    also where there always is a row: for all students of a school SQLite would otherwise start from the few editions,
    and read the attempts of every other school as well.
    """
    if not ids:
        return []
    with connection.cursor() as cursor:
        cursor.execute(*_asked(statement, ids, at, day))
        return cursor.fetchall()


def first_key(statement: str, *parameters: int) -> int | None:
    """The key in the first row of a statement; None if there is no row. Where an act looks for a row that is rarely
    there, the ORM's queryset costs twenty times what the database does."""
    with connection.cursor() as cursor:
        cursor.execute(statement, parameters)
        row = cursor.fetchone()
    return row[0] if row else None


def plain_instances(model: type[Model], statement: str, ids: Collection[int], at: datetime) -> list[Any]:
    """The same as instances of a model, all of whose columns the statement must give; its other columns beside them."""
    return list(model._default_manager.raw(*_asked(statement, ids, at))) if ids else []


def _asked(statement: str, ids: Collection[int], at: datetime, day: date | None = None) -> tuple[str, dict[str, Any]]:
    keys = ",".join(str(int(pk)) for pk in ids)
    return statement.replace("{ids}", keys), {
        "at": connection.ops.adapt_datetimefield_value(at),
        "day": connection.ops.adapt_datefield_value(day),
    }


def moment(stored: datetime | str) -> datetime:
    """A moment out of a row: SQLite keeps it in UTC and does not say so. Where a statement gives many, it gives them
    as text (`CAST(... AS text)`), which Python reads several times as fast as Django's converter does."""
    if isinstance(stored, str):
        stored = datetime.fromisoformat(stored)
    return stored if stored.tzinfo else stored.replace(tzinfo=UTC)


class Columns[M: Model]:
    """The columns of a model under this alias, all or `only` some, for a statement in SQL; and its instance out of
    their values."""

    def __init__(self, model: type[M], alias: str, only: Collection[str] = ()) -> None:
        self.model, self.alias, self.only = model, alias, only

    @cached_property
    def fields(self) -> list["Field[Any, Any]"]:
        every = self.model._meta.concrete_fields
        return [field for field in every if not self.only or field.attname in self.only]

    @cached_property
    def names(self) -> list[str]:
        return [field.attname for field in self.fields]

    @cached_property
    def sql(self) -> str:
        return ", ".join(f'{self.alias}."{field.column}"' for field in self.fields)

    def instance(self, values: Sequence[Any]) -> M:
        """The row as the ORM would read it. `Model.from_db` sets attribute by attribute and sends signals, which no one
        here listens to: for a class with its machines that is as long as the whole rule."""
        read = list(values)
        for place, column, converters in self._converters:
            for converter in converters:
                read[place] = converter(read[place], column, connection)
        row = self.model.__new__(self.model)
        row._state = state = ModelState()
        state.adding, state.db = False, connection.alias
        row.__dict__.update(zip(self.names, read, strict=True))
        return row

    @cached_property
    def _converters(self) -> list[tuple[int, Any, list[Callable[[Any, Any, Any], Any]]]]:
        """The columns that an engine gives in another type than the model has: where, and what reads them."""
        columns = [field.get_col(self.alias) for field in self.fields]
        converters = [connection.ops.get_db_converters(c) + c.get_db_converters(connection) for c in columns]
        return [(place, columns[place], some) for place, some in enumerate(converters) if some]
