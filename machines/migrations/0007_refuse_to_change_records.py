"""The database itself refuses to change or remove what is on record about somebody or some machine, whoever asks.

Kept so: sign-offs, holds with their machines, tag-outs, attempts, safety agreements. A record is ended once (undone,
withdrawn, lifted, returned, handed in, voided, taken back); whatever else it says stays. A student's record goes only
once the logbook says that it is erased: an erasure of the entry it rests on, or, of an agreement, of the student.
Inserts are guarded too: SQLite's INSERT OR REPLACE removes rows without asking a trigger on DELETE.

SQLite makes a table anew to alter it, and its triggers are gone then: a later migration of one of these tables drops
the triggers that name it first, and writes them again. A test looks for every one of them.
"""

# ruff: noqa: S608  the statements are made of what stands in this file alone

from django.db import migrations

CHANGED = "What is on record is not changed. It is ended once."
REMOVED = "What is on record is not removed before the logbook says that it is erased."
TWICE = "A record is written once."

# Table → the columns that never change, and those that are written once, together: the first of them, then the rest.
KEPT = {
    "machines_signoff": (
        "id school_id student_id machine_id kind_id term_id by_id at points tap renews_id",
        ("entry_id", "undone_at undone_by_id", "withdrawn_at withdrawn_by_id withdrawn_reason"),
    ),
    "machines_hold": (
        "id school_id student_id everywhere reason words lifts lifts_words bank_id rules last_day "
        "placed_by_id placed_at tap",
        ("entry_id", "lifted_at lifted_by_id lifted_words"),
    ),
    "machines_tagout": (
        "id school_id machine_id reason by_id at tap",
        ("entry_id", "returned_at returned_by_id inspection"),
    ),
    "quizzes_attempt": (
        "id school_id student_id bank_id edition_id purpose practice seed form started_at asked paper_code printed_by_id",
        (
            "handed_in_at correct missed_rules missed_questions entry_id entered_by_id",
            "voided_at voided_by_id void_reason",
        ),
    ),
    "school_safetyagreement": (
        "id school_id student_id year signed_on recorded_by_id recorded_at",
        ("taken_back_at taken_back_by_id taken_back_reason",),
    ),
}
MACHINES_OF_HOLDS = "machines_hold_machines"

# Besides the number: what only one row can have, as each unique constraint of the table says it.
ONE_OF_EACH = {
    "machines_signoff": (
        "tap = NEW.tap",
        "student_id = NEW.student_id AND machine_id = NEW.machine_id AND renews_id IS NEW.renews_id "
        "AND undone_at IS NULL AND withdrawn_at IS NULL AND NEW.undone_at IS NULL AND NEW.withdrawn_at IS NULL",
        "renews_id = NEW.renews_id AND undone_at IS NULL AND withdrawn_at IS NULL "
        "AND NEW.undone_at IS NULL AND NEW.withdrawn_at IS NULL",
    ),
    "machines_hold": ("tap = NEW.tap",),
    "machines_tagout": (
        "tap = NEW.tap",
        "machine_id = NEW.machine_id AND returned_at IS NULL AND NEW.returned_at IS NULL",
    ),
    "quizzes_attempt": (
        "school_id = NEW.school_id AND paper_code = NEW.paper_code AND NEW.paper_code <> ''",
        "student_id = NEW.student_id AND bank_id = NEW.bank_id AND handed_in_at IS NULL AND voided_at IS NULL "
        "AND NEW.handed_in_at IS NULL AND NEW.voided_at IS NULL",
    ),
    "school_safetyagreement": (
        "student_id = NEW.student_id AND year = NEW.year AND taken_back_at IS NULL AND NEW.taken_back_at IS NULL",
    ),
}

HAS_ENTRY = "SELECT 1 FROM machines_hold h WHERE h.id = {row}.hold_id AND h.entry_id IS NOT NULL"
NOT_ERASED = "{entry} IS NOT NULL AND NOT EXISTS (SELECT 1 FROM logbook_erasure WHERE seq = {entry})"


def changed(table, differs):
    """When an UPDATE of the table changes what it may not; `differs` is how the engine says that two values do."""

    def any_of(columns):
        return "(" + " OR ".join(f"NEW.{column} {differs} OLD.{column}" for column in columns) + ")"

    fixed, ends = KEPT[table]
    yield any_of(fixed.split())
    for end in ends:
        first, *_ = end.split()
        yield f"((OLD.{first} IS NOT NULL OR NEW.{first} IS NULL) AND {any_of(end.split())})"


def removed(table, erases):
    """When a DELETE from the table is too early; `erases` is how the engine reads that the entry b erases the student."""
    if table == "machines_tagout":
        return "1 = 1"
    if table == "school_safetyagreement":
        return (
            f"NOT EXISTS (SELECT 1 FROM logbook_body b WHERE b.seq IN (SELECT by_id FROM logbook_erasure) AND {erases})"
        )
    return NOT_ERASED.format(entry="OLD.entry_id")


def sqlite():
    def trigger(event, table, message, when="1 = 1"):
        return (
            f"CREATE TRIGGER kept_{table}_{event.lower()} BEFORE {event} ON {table} FOR EACH ROW WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        )

    # A rule learned again is added to its hold; what was learned before stays, and nothing comes after the hold.
    learned = (
        "NEW.learned IS NOT OLD.learned AND (OLD.lifted_at IS NOT NULL OR EXISTS (SELECT 1 FROM json_each(OLD.learned) o "
        "WHERE NOT EXISTS (SELECT 1 FROM json_each(NEW.learned) n WHERE n.key = o.key AND n.value IS o.value)))"
    )
    erases = "json_extract(CAST(b.payload AS TEXT), '$.person_key') = OLD.student_id"
    for table in KEPT:
        more = [f"({learned})"] if table == "machines_hold" else []
        yield trigger("UPDATE", table, CHANGED, " OR ".join([*changed(table, "IS NOT"), *more]))
        yield trigger("DELETE", table, REMOVED, removed(table, erases))
        there = " OR ".join(f"({one})" for one in ("id = NEW.id", *ONE_OF_EACH[table]))
        yield trigger("INSERT", table, TWICE, f"EXISTS (SELECT 1 FROM {table} WHERE {there})")
    early = NOT_ERASED.format(entry="h.entry_id")
    yield trigger("UPDATE", MACHINES_OF_HOLDS, CHANGED)
    yield trigger("DELETE", MACHINES_OF_HOLDS, REMOVED, f"EXISTS ({HAS_ENTRY.format(row='OLD')} AND {early})")
    yield trigger("INSERT", MACHINES_OF_HOLDS, CHANGED, f"EXISTS ({HAS_ENTRY.format(row='NEW')})")


def postgresql():
    def guard(event, table, message, when="TRUE"):
        name = f"kept_{table}_{event.lower()}"
        yield (
            f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF {when} THEN RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'; END IF; "
            "RETURN CASE TG_OP WHEN 'DELETE' THEN OLD ELSE NEW END; END $$"
        )
        each = "STATEMENT" if event == "TRUNCATE" else "ROW"
        yield f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH {each} EXECUTE FUNCTION {name}()"

    # As on SQLite: learned rules are only added to, while the hold stands.
    learned = "NEW.learned <> OLD.learned AND (OLD.lifted_at IS NOT NULL OR NOT NEW.learned @> OLD.learned)"
    erases = "convert_from(b.payload, 'UTF8')::json ->> 'person_key' = OLD.student_id::text"
    for table in KEPT:
        more = [f"({learned})"] if table == "machines_hold" else []
        yield from guard("UPDATE", table, CHANGED, " OR ".join([*changed(table, "IS DISTINCT FROM"), *more]))
        yield from guard("DELETE", table, REMOVED, removed(table, erases))
        yield from guard("TRUNCATE", table, REMOVED)
    early = NOT_ERASED.format(entry="h.entry_id")
    yield from guard("UPDATE", MACHINES_OF_HOLDS, CHANGED)
    yield from guard("DELETE", MACHINES_OF_HOLDS, REMOVED, f"EXISTS ({HAS_ENTRY.format(row='OLD')} AND {early})")
    yield from guard("INSERT", MACHINES_OF_HOLDS, CHANGED, f"EXISTS ({HAS_ENTRY.format(row='NEW')})")
    yield from guard("TRUNCATE", MACHINES_OF_HOLDS, REMOVED)


def refuse(apps, schema_editor):
    statements = {"sqlite": sqlite, "postgresql": postgresql}[schema_editor.connection.vendor]()
    with schema_editor.connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def allow(apps, schema_editor):
    with schema_editor.connection.cursor() as cursor:
        for table in (*KEPT, MACHINES_OF_HOLDS):
            for event in ("update", "delete", "insert", "truncate"):
                name = f"kept_{table}_{event}"
                if schema_editor.connection.vendor == "postgresql":
                    cursor.execute(f"DROP FUNCTION IF EXISTS {name}() CASCADE")
                else:
                    cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"')


class Migration(migrations.Migration):
    dependencies = [
        ("machines", "0006_stale_prints_in_one_file"),
        ("quizzes", "0005_quizzes_on_paper"),
        ("school", "0006_agreement_taken_back"),
        ("logbook", "0002_refuse_change"),
    ]

    operations = [migrations.RunPython(refuse, allow, elidable=False)]
