"""Whether the database still refuses to change the logbook: the triggers are there and switched on."""

from django.db import connection

TABLES = ("entry", "body", "erasure", "checkpoint")
EVENTS = {"sqlite": ("insert", "update", "delete"), "postgresql": ("insert", "update", "delete", "truncate")}
STANDING = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    # "O" fires in every ordinary session, "A" always; "D" is switched off, "R" fires for replicas only.
    "postgresql": "SELECT tgname FROM pg_trigger WHERE tgenabled IN ('O', 'A') AND NOT tgisinternal",
}


def missing_triggers() -> list[str]:
    """The names of the triggers that should stand and don't."""
    with connection.cursor() as cursor:
        cursor.execute(STANDING[connection.vendor])
        standing = {row[0] for row in cursor.fetchall()}
    expected = [f"logbook_{table}_{event}" for table in TABLES for event in EVENTS[connection.vendor]]
    return [name for name in expected if name not in standing]
