"""Whether the database still refuses to change the logbook and the records; and how it is made to.

The triggers are installed after every migration, from what the apps declare: SQLite drops a table's triggers when a
migration makes the table again. Each must stand as the program writes it: one of the same name that refuses less is as
good as none.
"""

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any, NamedTuple

from django.db import connection

from shopsafe.language.messages import _
from shopsafe.logbook.verification.declared import DECLARED
from shopsafe.logbook.verification.entry_triggers import entry_triggers
from shopsafe.logbook.verification.triggers import Trigger, record_triggers

PREFIX = "kept_"
INSTALLED = {
    "sqlite": "SELECT name, tbl_name, sql, '', '', 1 FROM sqlite_master WHERE type = 'trigger'",
    # "O" fires in every ordinary session, "A" always; "D" is switched off, "R" fires for replicas only.
    "postgresql": """
        SELECT t.tgname, c.relname, replace(pg_get_triggerdef(t.oid), ' ON ' || n.nspname || '.', ' ON '),
            p.proname, p.prosrc, CASE WHEN t.tgenabled IN ('O', 'A') THEN 1 ELSE 0 END
        FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace
        JOIN pg_proc p ON p.oid = t.tgfoid WHERE NOT t.tgisinternal AND n.nspname = current_schema()
    """,
}


class InstalledTrigger(NamedTuple):
    trigger: Trigger
    enabled: bool


@cache
def expected_triggers(vendor: str) -> dict[str, Trigger]:
    guards = {
        name: guard for table in DECLARED.values() if table.guard for name, guard in table.guard.of_tables(table.table)
    }
    return {trigger.name: trigger for trigger in (*entry_triggers(vendor), *record_triggers(guards, vendor))}


def installed_triggers() -> dict[str, InstalledTrigger]:
    with connection.cursor() as cursor:
        cursor.execute(INSTALLED[connection.vendor])
        return {row[0]: InstalledTrigger(Trigger(*row[:5]), bool(row[5])) for row in cursor.fetchall()}


def trigger_faults() -> list[str]:
    """A sentence for each trigger that is missing, switched off or not as the program writes it, or that is foreign."""
    expected, installed = expected_triggers(connection.vendor), installed_triggers()
    tables = {trigger.table for trigger in expected.values()}
    return [
        *(sentence for trigger in expected.values() if (sentence := trigger_fault(trigger, installed))),
        *(
            _(
                "{trigger} is a trigger on {table} that the program did not install",
                trigger=name,
                table=present.trigger.table,
            )
            for name, present in sorted(installed.items())
            if present.trigger.table in tables and name not in expected
        ),
    ]


def trigger_fault(trigger: Trigger, installed: dict[str, InstalledTrigger]) -> str:
    present = installed.get(trigger.name)
    if present is None:
        return _("{trigger} is missing", trigger=trigger.name)
    if not present.enabled:
        return _("{trigger} is switched off", trigger=trigger.name)
    return "" if present.trigger == trigger else _("{trigger} was changed", trigger=trigger.name)


def install_triggers(**signal: Any) -> None:
    """Make the triggers stand as declared, wherever their tables are there. Asked after every migration."""
    expected, installed = expected_triggers(connection.vendor), installed_triggers()
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        due = [trigger for trigger in expected.values() if trigger.table in tables]
        wrong = [trigger for trigger in due if trigger_fault(trigger, installed)]
        gone = [name for name in installed if name.startswith(PREFIX) and name not in expected]
        for statement in (
            *removing(installed[name].trigger for name in gone),
            *removing(installed[trigger.name].trigger for trigger in wrong if trigger.name in installed),
            *creating(wrong),
        ):
            cursor.execute(statement)


def remove_triggers(plan: Iterable[Any] = (), **signal: Any) -> None:
    """Take the records' triggers away before a migration that has something to do: SQLite could not make a table again
    that another table's trigger names."""
    if not list(plan):
        return
    with connection.cursor() as cursor:
        for statement in removing(t.trigger for name, t in installed_triggers().items() if name.startswith(PREFIX)):
            cursor.execute(statement)


def removing(triggers: Iterable[Trigger]) -> Iterator[str]:
    for trigger in triggers:
        if connection.vendor == "postgresql":
            yield f'DROP TRIGGER "{trigger.name}" ON "{trigger.table}"'
            if trigger.name.startswith(PREFIX):
                yield f'DROP FUNCTION IF EXISTS "{trigger.function}"()'
        else:
            yield f'DROP TRIGGER "{trigger.name}"'


def creating(triggers: Iterable[Trigger]) -> Iterator[str]:
    for trigger in triggers:
        if trigger.function:
            yield (
                f"CREATE OR REPLACE FUNCTION {trigger.function}() RETURNS trigger LANGUAGE plpgsql "
                f"AS $${trigger.body}$$"
            )
        yield trigger.create
