"""The database itself refuses to change or remove what the logbook holds, whoever asks and however.

An entry only ever follows the last one. A body goes only once an erasure is on record, and an erasure only with an
entry of its kind that names the body's number. Inserts are guarded too: SQLite's INSERT OR REPLACE removes rows
without asking a trigger on DELETE.
"""

from django.db import migrations

TABLES = ("entry", "body", "erasure", "checkpoint")
FIXED = ("entry", "erasure", "checkpoint")

CHANGED = "The logbook is never changed."
REMOVED = "The logbook is never shortened."
UNORDERED = "An entry follows the last one in the logbook."
MISPLACED = "A body belongs to the last entry and is written once."
UNNAMED = "A body is removed only after an entry of the logbook has named it as erased."
UNSAID = "An erasure needs an entry of the kind logbook.erased that names it, and is written once."
TAKEN = "A checkpoint covers entries that are there, and is written once."


def sqlite():
    def trigger(name, event, table, message, when=None):
        when = f" WHEN {when}" if when else ""
        return (
            f"CREATE TRIGGER logbook_{name} BEFORE {event} ON logbook_{table} FOR EACH ROW{when} "
            f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        )

    for table in TABLES:
        yield trigger(f"{table}_update", "UPDATE", table, CHANGED)
    for table in FIXED:
        yield trigger(f"{table}_delete", "DELETE", table, REMOVED)
    yield trigger(
        "body_delete",
        "DELETE",
        "body",
        UNNAMED,
        "NOT EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = OLD.seq)",
    )
    yield trigger(
        "entry_insert",
        "INSERT",
        "entry",
        UNORDERED,
        "NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM logbook_entry) "
        "OR NEW.prev IS NOT coalesce((SELECT hash FROM logbook_entry ORDER BY seq DESC LIMIT 1), zeroblob(32)) "
        "OR EXISTS (SELECT 1 FROM logbook_entry WHERE hash = NEW.hash)",
    )
    yield trigger(
        "body_insert",
        "INSERT",
        "body",
        MISPLACED,
        "NEW.seq IS NOT (SELECT max(seq) FROM logbook_entry) OR EXISTS (SELECT 1 FROM logbook_body WHERE seq = NEW.seq)",
    )
    yield trigger(
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
    yield trigger(
        "checkpoint_insert",
        "INSERT",
        "checkpoint",
        TAKEN,
        "NEW.size > (SELECT coalesce(max(seq), 0) FROM logbook_entry) "
        "OR EXISTS (SELECT 1 FROM logbook_checkpoint WHERE size = NEW.size)",
    )


def postgresql():
    def function(name, condition, message):
        return (
            f"CREATE FUNCTION logbook_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF {condition} THEN RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'; END IF; "
            "RETURN CASE TG_OP WHEN 'DELETE' THEN OLD ELSE NEW END; END $$"
        )

    def trigger(table, event, name, each="ROW"):
        return (
            f"CREATE TRIGGER logbook_{table}_{event.lower()} BEFORE {event} ON logbook_{table} "
            f"FOR EACH {each} EXECUTE FUNCTION logbook_{name}()"
        )

    yield function("changed", "TRUE", CHANGED)
    yield function("removed", "TRUE", REMOVED)
    for table in TABLES:
        yield trigger(table, "UPDATE", "changed")
        yield trigger(table, "TRUNCATE", "removed", "STATEMENT")
    for table in FIXED:
        yield trigger(table, "DELETE", "removed")
    yield function("unnamed", "NOT EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = OLD.seq)", UNNAMED)
    yield trigger("body", "DELETE", "unnamed")
    yield function(
        "unordered",
        "NEW.seq IS DISTINCT FROM (SELECT coalesce(max(seq), 0) + 1 FROM logbook_entry) OR NEW.prev IS DISTINCT FROM "
        "coalesce((SELECT hash FROM logbook_entry ORDER BY seq DESC LIMIT 1), decode(repeat('00', 32), 'hex'))",
        UNORDERED,
    )
    yield trigger("entry", "INSERT", "unordered")
    yield function("misplaced", "NEW.seq IS DISTINCT FROM (SELECT max(seq) FROM logbook_entry)", MISPLACED)
    yield trigger("body", "INSERT", "misplaced")
    yield function(
        "unsaid",
        "EXISTS (SELECT 1 FROM logbook_entry WHERE seq = NEW.seq "
        """AND position('"kind":"logbook.erased"'::bytea in header) > 0) """
        "OR NOT EXISTS (SELECT 1 FROM logbook_entry e JOIN logbook_body b ON b.seq = e.seq WHERE e.seq = NEW.by_id "
        """AND position('"kind":"logbook.erased"'::bytea in e.header) > 0 """
        "AND (convert_from(b.payload, 'UTF8')::json -> 'seqs')::jsonb @> to_jsonb(NEW.seq))",
        UNSAID,
    )
    yield trigger("erasure", "INSERT", "unsaid")
    yield function("taken", "NEW.size > (SELECT coalesce(max(seq), 0) FROM logbook_entry)", TAKEN)
    yield trigger("checkpoint", "INSERT", "taken")


def refuse(apps, schema_editor):
    statements = {"sqlite": sqlite, "postgresql": postgresql}[schema_editor.connection.vendor]()
    with schema_editor.connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def allow(apps, schema_editor):
    with schema_editor.connection.cursor() as cursor:
        if schema_editor.connection.vendor == "postgresql":
            for name in ("changed", "removed", "unnamed", "unordered", "misplaced", "unsaid", "taken"):
                cursor.execute(f"DROP FUNCTION logbook_{name}() CASCADE")
            return
        cursor.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name LIKE 'logbook\\_%' ESCAPE '\\'"
        )
        for (name,) in cursor.fetchall():
            cursor.execute(f'DROP TRIGGER "{name}"')


class Migration(migrations.Migration):
    dependencies = [("logbook", "0001_record")]

    operations = [migrations.RunPython(refuse, allow, elidable=False)]
