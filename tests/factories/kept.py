"""Arrangements that many tests begin with: made by the factories once in a process, later the same rows are put in.

    @kept
    def make_cast() -> Cast: ...

The rows are put in by ordinary INSERTs, keys and all, and the objects are fresh copies, so that nothing which one test
does to either reaches another. Only where everything is as it was when they were made: else they are made again.
"""

# ruff: noqa: S608  the names in the statements are those of our own tables

import functools
import io
import itertools
import pickle
from collections.abc import Callable, Iterator
from dataclasses import dataclass, is_dataclass
from datetime import datetime
from typing import Any

from django.apps import apps
from django.db import connection, models, transaction

from quizzes.models import Answer
from shopsafe.logbook.models import Body, Entry

# A making is remembered for each ground that it is made on, such as an empty database, and for all that it is made of.
# Few come again.
MAKINGS = 24


def kept[Made](make: Callable[..., Made]) -> Callable[..., Made]:
    """For a function that adds rows and changes none, by models, dataclasses of models and plain values alone.

    No clock: what it made is handed to tests that run at other moments.
    """
    makings: list[Making] = []

    @functools.wraps(make)
    def make_or_repeat(*given: Any, **more: Any) -> Made:
        if more:
            return make(*given, **more)
        whose = [keys(argument) for argument in given]
        for making in makings:
            if making.whose == whose and making.stands_on_its_ground():
                return making.repeat(given)
        if len(makings) == MAKINGS:
            return make(*given)
        before = all_rows()
        result = make(*given)
        makings.append(Making.of(whose, before, all_rows(), result, given))
        return result

    return make_or_repeat


@dataclass(frozen=True)
class Making:
    whose: list[Any]  # the keys of what it was made for
    ground: tuple[Any, ...]  # how many rows stood in its tables before, and the last of each
    look: str  # asks for the same
    inserts: list[str]
    made: bytes  # a pickle, in which the given stand by the way that leads to them

    @classmethod
    def of(cls, whose: list[Any], before: "Rows", after: "Rows", result: Any, arguments: tuple[Any, ...]) -> "Making":
        changed = [model.__name__ for model, rows in before.items() if rows.keys() - after[model].keys()]
        assert not changed, f"what is kept may add rows but not change any, as of {', '.join(changed)}"
        added = [(m, row, key) for m, rows in after.items() for row, key in rows.items() if row not in before[m]]
        added.sort(key=lambda entry: turn(entry[0], entry[2]))
        tables = list(dict.fromkeys(model for model, _, _ in added))
        buffer = io.BytesIO()
        Pickler(buffer, arguments).dump(result)
        return cls(
            whose,
            ground=tuple(fact for model in tables for fact in (len(before[model]), [None, *before[model]][-1])),
            look=f"SELECT {', '.join(how_many_and_the_last(model) for model in tables)}",
            inserts=[
                f"INSERT INTO {table(m)} ({', '.join(columns(m))}) VALUES {', '.join(row for _, row, _ in rows)}"
                for m, rows in itertools.groupby(added, key=lambda entry: entry[0])
            ],
            made=buffer.getvalue(),
        )

    def stands_on_its_ground(self) -> bool:
        with connection.cursor() as cursor:
            cursor.execute(self.look)
            return cursor.fetchone() == self.ground

    def repeat(self, arguments: tuple[Any, ...]) -> Any:
        # In one statement where the engine takes many at once.
        inserts = ["; ".join(self.inserts)] if connection.vendor == "postgresql" else self.inserts
        with transaction.atomic(savepoint=False), connection.cursor() as cursor:
            for insert in inserts:
                cursor.execute(insert)
        return Unpickler(self.made, arguments).load()


# ---- rows -----------------------------------------------------------------------------------------------------------

type Rows = dict[type[models.Model], dict[str, str]]  # of each table its rows in the order of their keys, and the keys


def all_rows() -> Rows:
    """Every row of every table as an INSERT would give it."""
    rows_by_model: Rows = {}
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            cursor.execute(f"SELECT {row(model)}, CAST({key(model)} AS text) FROM {table(model)} ORDER BY {key(model)}")
            rows_by_model[model] = dict(cursor.fetchall())
    return rows_by_model


def turn(model: type[models.Model], key: str) -> tuple[int, int]:
    """When to put a row in. Foreign keys wait for the end of the transaction, but the triggers of records don't."""
    if model._meta.auto_created:
        return 0, 0  # a hold takes no more machines once its entry is written
    if model is Answer:
        return 0, 1  # nor an attempt an answer once it is handed in
    if model in (Entry, Body):
        return 2, int(key)  # a body belongs to the last entry
    return (3, 0) if model._meta.app_label == "logbook" else (1, 0)


def how_many_and_the_last(model: type[models.Model]) -> str:
    last = f"SELECT {row(model)} FROM {table(model)} ORDER BY {key(model)} DESC LIMIT 1"
    return f"(SELECT count(*) FROM {table(model)}), ({last})"


def row(model: type[models.Model]) -> str:
    return f"""'(' || {" || ', ' || ".join(quoted(column) for column in columns(model))} || ')'"""


def quoted(column: str) -> str:
    """SQL for the value as the database itself would write it down to read it again, to the last digit."""
    return f"quote_nullable({column}::text)" if connection.vendor == "postgresql" else f"quote({column})"


def columns(model: type[models.Model]) -> list[str]:
    return [
        connection.ops.quote_name(field.column) for field in model._meta.local_concrete_fields if not field.generated
    ]


def key(model: type[models.Model]) -> str:
    return connection.ops.quote_name(model._meta.pk.column)


def table(model: type[models.Model]) -> str:
    return connection.ops.quote_name(model._meta.db_table)


# ---- objects --------------------------------------------------------------------------------------------------------


def keys(thing: Any) -> Any:
    """What tells which rows it stands for."""
    if isinstance(thing, models.Model):
        return thing._meta.label, thing.pk
    if isinstance(thing, str | int | datetime | None) or is_value(thing):
        return thing
    if is_dataclass(thing):
        return [keys(value) for value in vars(thing).values()]
    raise TypeError(f"not to be kept by {thing!r}, which may change")


def is_value(thing: Any) -> bool:
    """True of a frozen dataclass, such as the text of a bank."""
    return is_dataclass(thing) and thing.__dataclass_params__.frozen


type Way = tuple[int, tuple[str, ...]]  # which of the given, and the attributes to go along


def ways(arguments: tuple[Any, ...]) -> Iterator[tuple[Any, Way]]:
    """Every object that can be reached from those given without a query, and one way to it."""
    seen: set[int] = set()
    ahead: list[tuple[Any, Way]] = [(argument, (number, ())) for number, argument in enumerate(arguments)]
    while ahead:
        thing, (number, path) = ahead.pop(0)
        holds = isinstance(thing, models.Model) or (is_dataclass(thing) and not is_value(thing))
        if not holds or id(thing) in seen:
            continue
        seen.add(id(thing))
        yield thing, (number, path)
        inside = thing._state.fields_cache if isinstance(thing, models.Model) else vars(thing)
        ahead += [(value, (number, (*path, name))) for name, value in inside.items()]


class Pickler(pickle.Pickler):
    """Writes the given, and what belongs to them, as the way that leads there."""

    def __init__(self, buffer: io.BytesIO, arguments: tuple[Any, ...]) -> None:
        super().__init__(buffer, pickle.HIGHEST_PROTOCOL)
        self.ways = {id(thing): way for thing, way in ways(arguments)}

    def persistent_id(self, thing: Any) -> Way | None:
        return self.ways.get(id(thing))


class Unpickler(pickle.Unpickler):
    def __init__(self, pickled: bytes, arguments: tuple[Any, ...]) -> None:
        super().__init__(io.BytesIO(pickled))
        self.given = arguments

    def persistent_load(self, way: Way) -> Any:
        number, path = way
        return functools.reduce(getattr, path, self.given[number])
