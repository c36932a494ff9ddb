"""The triggers that refuse to change or remove a record, as statements, made from what an app declares of its tables.

A record is ended once (undone, withdrawn, lifted, returned, handed in, voided); whatever else it says stays. The record
of a student goes only once the logbook says that it is erased. Inserts are guarded too: SQLite's INSERT OR REPLACE
removes rows without asking a trigger on DELETE.
"""

# ruff: noqa: S608  the statements are made of what our own modules declare

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

CHANGED = "What is on record is not changed. It is ended once."
REMOVED = "What is on record is not removed before the logbook says that it is erased."
TWICE = "A record is written once."
EVENTS = {"sqlite": ("UPDATE", "DELETE", "INSERT"), "postgresql": ("UPDATE", "DELETE", "INSERT", "TRUNCATE")}
NEVER = "1 = 1"


class Trigger(NamedTuple):
    """As the database keeps it. On PostgreSQL `body` is that of the function, which has a name of its own."""

    name: str
    table: str
    create: str
    function: str = ""
    body: str = ""


@dataclass(frozen=True)
class Guard:
    """What the database refuses for one table.

    fixed      columns that never change
    ends       columns that are written once, together: the first of them, then the rest
    changes    what else an UPDATE must not do, by engine
    one_of     what only one row can have, as each unique constraint of the table says it of NEW
    keeps      when a DELETE is too early, by engine; NEVER is always
    closed     when an INSERT is too late
    pairs      the tables that belong to this one, such as the machines of a hold, with their own guards
    """

    fixed: str
    ends: tuple[str, ...] = ()
    changes: dict[str, str] | str = ""
    one_of: tuple[str, ...] = ()
    keeps: dict[str, str] | str = NEVER
    closed: str = ""
    pairs: tuple[tuple[str, "Guard"], ...] = ()

    def of_tables(self, table: str) -> Iterator[tuple[str, "Guard"]]:
        """This guard for its table, and those of the tables of pairs that belong to it."""
        yield table, self
        yield from self.pairs

    def refusals(self, table: str, vendor: str) -> dict[str, tuple[str, str]]:
        """Event → the sentence and the condition of the refusal."""
        return {
            "UPDATE": (CHANGED, " OR ".join(self._changed(vendor))),
            "DELETE": (REMOVED, self.keeps if isinstance(self.keeps, str) else self.keeps[vendor]),
            "INSERT": (TWICE, " OR ".join(self._inserted(table, vendor)) or "1 = 0"),
            "TRUNCATE": (REMOVED, NEVER),
        }

    def _changed(self, vendor: str) -> Iterator[str]:
        differs = {"sqlite": "IS NOT", "postgresql": "IS DISTINCT FROM"}[vendor]

        def any_of(columns: str) -> str:
            return "(" + " OR ".join(f"NEW.{column} {differs} OLD.{column}" for column in columns.split()) + ")"

        yield any_of(self.fixed)
        for end in self.ends:
            first, *_ = end.split()
            yield f"((OLD.{first} IS NOT NULL OR NEW.{first} IS NULL) AND {any_of(end)})"
        if self.changes:
            yield f"({self.changes if isinstance(self.changes, str) else self.changes[vendor]})"

    def _inserted(self, table: str, vendor: str) -> Iterator[str]:
        # PostgreSQL has no INSERT that replaces: its own unique constraints refuse.
        if vendor == "sqlite" and self.one_of:
            condition_sql = " OR ".join(f"({condition})" for condition in self.one_of)
            yield f"EXISTS (SELECT 1 FROM {table} WHERE {condition_sql})"
        if self.closed:
            yield f"({self.closed})"


def not_erased(entry: str) -> str:
    """When a row that rests on this entry must stay."""
    return f"{entry} IS NOT NULL AND NOT EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = {entry})"


def record_triggers(guards: dict[str, Guard], vendor: str) -> Iterator[Trigger]:
    for table, guard in guards.items():
        refusals = guard.refusals(table, vendor)
        for event in EVENTS[vendor]:
            message, condition = refusals[event]
            if condition != "1 = 0":
                yield refusing(f"kept_{table}_{event.lower()}", event, table, message, condition, vendor)


def refusing(name: str, event: str, table: str, message: str, condition: str, vendor: str) -> Trigger:
    if vendor == "sqlite":
        create = (
            f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW WHEN {condition} "
            f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        )
        return Trigger(name, table, create)
    each = "STATEMENT" if event == "TRUNCATE" else "ROW"
    create = f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH {each} EXECUTE FUNCTION {name}()"
    return Trigger(name, table, create, name, function_body(condition, message))


def function_body(condition: str, message: str) -> str:
    return (
        f" BEGIN IF {condition} THEN RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'; END IF; "
        "RETURN CASE TG_OP WHEN 'DELETE' THEN OLD ELSE NEW END; END "
    )
