"""The triggers of the logbook's own tables, as they are installed.

An entry only ever follows the last one, and a body the last body: entries of one act are written together, then their
bodies. A body goes only once an erasure is on record, and an erasure only with an
entry of its kind that names the body's number. Inserts are guarded too: SQLite's INSERT OR REPLACE removes rows without
asking a trigger on DELETE.
"""

from collections.abc import Iterator

from shopsafe.logbook.verification.triggers import Trigger, function_body

TABLES = ("entry", "body", "erasure", "checkpoint")
FIXED = ("entry", "erasure", "checkpoint")

CHANGED = "The logbook is never changed."
REMOVED = "The logbook is never shortened."
UNORDERED = "An entry follows the last one in the logbook."
MISPLACED = "A body follows the last one, belongs to an entry and is written once."
UNNAMED = "A body is removed only after an entry of the logbook has named it as erased."
UNSAID = "An erasure needs an entry of the kind logbook.erased that names it, and is written once."
TAKEN = "A checkpoint covers entries that are there, and is written once."


def sqlite_trigger(name: str, event: str, table: str, message: str, condition: str = "") -> Trigger:
    when = f" WHEN {condition}" if condition else ""
    create = (
        f"CREATE TRIGGER logbook_{name} BEFORE {event} ON logbook_{table} FOR EACH ROW{when} "
        f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
    )
    return Trigger(f"logbook_{name}", f"logbook_{table}", create)


def sqlite() -> Iterator[Trigger]:
    for table in TABLES:
        yield sqlite_trigger(f"{table}_update", "UPDATE", table, CHANGED)
    for table in FIXED:
        yield sqlite_trigger(f"{table}_delete", "DELETE", table, REMOVED)
    yield sqlite_trigger(
        "body_delete",
        "DELETE",
        "body",
        UNNAMED,
        "NOT EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = OLD.seq)",
    )
    yield sqlite_trigger(
        "entry_insert",
        "INSERT",
        "entry",
        UNORDERED,
        "NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM logbook_entry) "
        "OR NEW.prev IS NOT coalesce((SELECT hash FROM logbook_entry ORDER BY seq DESC LIMIT 1), zeroblob(32)) "
        "OR EXISTS (SELECT 1 FROM logbook_entry WHERE hash = NEW.hash)",
    )
    yield sqlite_trigger(
        "body_insert",
        "INSERT",
        "body",
        MISPLACED,
        "NEW.seq > (SELECT coalesce(max(seq), 0) FROM logbook_entry) "
        "OR NEW.seq <= (SELECT coalesce(max(seq), 0) FROM logbook_body)",
    )
    yield from sqlite_erasure_and_checkpoint()


def sqlite_erasure_and_checkpoint() -> Iterator[Trigger]:
    yield sqlite_trigger(
        "erasure_insert",
        "INSERT",
        "erasure",
        UNSAID,
        "EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = NEW.seq) "
        "OR EXISTS (SELECT 1 FROM logbook_entry WHERE seq = NEW.seq "
        """AND instr(CAST(header AS TEXT), '"kind":"logbook.erased"') > 0) """
        "OR NOT EXISTS (SELECT 1 FROM logbook_entry e JOIN logbook_body b ON b.seq = e.seq "
        "JOIN json_each(CAST(b.payload AS TEXT), '$.seqs') named WHERE e.seq = NEW.by_id "
        """AND instr(CAST(e.header AS TEXT), '"kind":"logbook.erased"') > 0 AND named.value = NEW.seq)""",
    )
    yield sqlite_trigger(
        "checkpoint_insert",
        "INSERT",
        "checkpoint",
        TAKEN,
        "NEW.size > (SELECT coalesce(max(seq), 0) FROM logbook_entry) "
        "OR EXISTS (SELECT 1 FROM logbook_checkpoint WHERE size = NEW.size)",
    )


def postgresql_trigger(table: str, event: str, name: str, condition: str, message: str) -> Trigger:
    each = "STATEMENT" if event == "TRUNCATE" else "ROW"
    create = (
        f"CREATE TRIGGER logbook_{table}_{event.lower()} BEFORE {event} ON logbook_{table} "
        f"FOR EACH {each} EXECUTE FUNCTION logbook_{name}()"
    )
    return Trigger(
        f"logbook_{table}_{event.lower()}",
        f"logbook_{table}",
        create,
        f"logbook_{name}",
        function_body(condition, message),
    )


def postgresql() -> Iterator[Trigger]:
    for table in TABLES:
        yield postgresql_trigger(table, "UPDATE", "changed", "TRUE", CHANGED)
        yield postgresql_trigger(table, "TRUNCATE", "removed", "TRUE", REMOVED)
    for table in FIXED:
        yield postgresql_trigger(table, "DELETE", "removed", "TRUE", REMOVED)
    yield postgresql_trigger(
        "body", "DELETE", "unnamed", "NOT EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = OLD.seq)", UNNAMED
    )
    yield postgresql_trigger(
        "entry",
        "INSERT",
        "unordered",
        "NEW.seq IS DISTINCT FROM (SELECT coalesce(max(seq), 0) + 1 FROM logbook_entry) OR NEW.prev IS DISTINCT FROM "
        "coalesce((SELECT hash FROM logbook_entry ORDER BY seq DESC LIMIT 1), decode(repeat('00', 32), 'hex'))",
        UNORDERED,
    )
    yield postgresql_trigger(
        "body",
        "INSERT",
        "misplaced",
        "NEW.seq > (SELECT coalesce(max(seq), 0) FROM logbook_entry) "
        "OR NEW.seq <= (SELECT coalesce(max(seq), 0) FROM logbook_body)",
        MISPLACED,
    )
    yield postgresql_trigger(
        "erasure",
        "INSERT",
        "unsaid",
        "EXISTS (SELECT 1 FROM logbook_entry WHERE seq = NEW.seq "
        """AND position('"kind":"logbook.erased"'::bytea in header) > 0) """
        "OR NOT EXISTS (SELECT 1 FROM logbook_entry e JOIN logbook_body b ON b.seq = e.seq WHERE e.seq = NEW.by_id "
        """AND position('"kind":"logbook.erased"'::bytea in e.header) > 0 """
        "AND (convert_from(b.payload, 'UTF8')::json -> 'seqs')::jsonb @> to_jsonb(NEW.seq))",
        UNSAID,
    )
    yield postgresql_trigger(
        "checkpoint", "INSERT", "taken", "NEW.size > (SELECT coalesce(max(seq), 0) FROM logbook_entry)", TAKEN
    )


def entry_triggers(vendor: str) -> Iterator[Trigger]:
    return sqlite() if vendor == "sqlite" else postgresql()
