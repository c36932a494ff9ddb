"""What an act locks before it takes its moment. shopsafe/act.py says in which order, and why.

The school is shared by the acts about one student or one machine, which go on beside each other, and is held alone by
the acts that change what all of them rely on: class lists, requirements, editions, the people who teach. On SQLite,
where one transaction writes at a time, the school needs no lock.
"""

from collections import defaultdict

from django.db import connection
from django.db.models import Model, QuerySet
from django.http import Http404

from shopsafe.act import Turn, take_turn

# The first of the two numbers of our advisory locks on PostgreSQL; the second is the school's key.
SCHOOL = 0x5AFE
SHARED = "SELECT pg_advisory_xact_lock_shared(%s, %s)"
ALONE = "SELECT pg_advisory_xact_lock(%s, %s)"
TURNS = {"person": Turn.PERSON, "machine": Turn.MACHINE}  # by the name of the model; any other row comes after them


def lock(*rows: Model) -> None:
    """Share the school of these rows, lock them, and put into them what is stored now. 404 if one of them is gone."""
    _hold_school(rows[0].school_id, SHARED)  # type: ignore[attr-defined]
    lock_rows(*rows)


def lock_school(school: int, *rows: Model) -> None:
    """Let no other act of the school run beside this one, then lock these rows as `lock` does."""
    _hold_school(school, ALONE)
    lock_rows(*rows)


def share_school(school: int) -> None:
    """Let no act run beside this one that holds the school alone."""
    _hold_school(school, SHARED)


def lock_rows(*rows: Model) -> None:
    """Lock these rows as `lock` does, without their school: for what no other act relies on, such as a draft."""
    by_model: dict[type[Model], list[Model]] = defaultdict(list)
    for row in rows:
        by_model[row._meta.model].append(row)  # not type(row): the user of a request is a lazy stand-in
    for model in sorted(by_model, key=lambda model: (_turn_of(model), model._meta.label)):
        _lock_of_model(model, by_model[model])


def locked[M: Model](rows: QuerySet[M]) -> QuerySet[M]:
    """The same rows, locked as they are read: for one query where `lock_rows` would need two."""
    take_turn(_turn_of(rows.model))
    return rows.select_for_update(of=("self",), no_key=True)


def locking(model: type[Model], alias: str) -> str:
    """The end of a SELECT in SQL whose rows are locked as they are read, as `locked` does for a queryset."""
    take_turn(_turn_of(model))
    return f" FOR NO KEY UPDATE OF {alias}" if connection.vendor == "postgresql" else ""


def _lock_of_model(model: type[Model], rows: list[Model]) -> None:
    read = {field.attname for field in model._meta.concrete_fields} - set().union(
        *(row.get_deferred_fields() for row in rows)
    )
    stored = locked(model._base_manager.filter(pk__in=[row.pk for row in rows])).order_by("pk").only(*read)
    by_pk = {row.pk: row for row in stored}
    for row in rows:
        if row.pk not in by_pk:
            raise Http404
        _put_in(row, by_pk[row.pk], read)


def _put_in(row: Model, stored: Model, names: set[str]) -> None:
    """The stored values. What belongs to the row is kept where it is still the same."""
    for field in row._meta.concrete_fields:
        if field.attname not in names:
            continue
        value = getattr(stored, field.attname)
        if field.is_relation and getattr(row, field.attname) != value:
            row._state.fields_cache.pop(field.name, None)
        setattr(row, field.attname, value)


def _turn_of(model: type[Model]) -> Turn:
    return TURNS.get(model._meta.model_name or "", Turn.ROW)


def _hold_school(school: int, statement: str) -> None:
    take_turn(Turn.SCHOOL)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(statement, [SCHOOL, school])
