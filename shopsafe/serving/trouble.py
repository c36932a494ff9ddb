"""What keeps the database from answering or storing: another writer, a full disk, a server that is away."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum

from django.db import InterfaceError, OperationalError, connection

SQLITE_BUSY = "is locked"  # "database is locked", "database table is locked"
SQLITE_FULL = "disk is full"  # "database or disk is full"
# SQLSTATE, PostgreSQL manual, appendix A
LOCK_NOT_AVAILABLE, DISK_FULL = "55P03", "53100"


class Trouble(StrEnum):
    BUSY = "busy"
    FULL = "full"
    AWAY = "away"


def trouble_of(error: BaseException | None) -> Trouble | None:
    """None for an error of another sort: a fault of the program."""
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
        return Trouble.FULL
    if not isinstance(error, OperationalError | InterfaceError):
        return None
    state = getattr(error.__cause__, "sqlstate", None)
    if SQLITE_BUSY in str(error) or state == LOCK_NOT_AVAILABLE:
        return Trouble.BUSY
    if SQLITE_FULL in str(error) or state == DISK_FULL:
        return Trouble.FULL
    if connection.vendor == "postgresql":
        return Trouble.AWAY if state is None or state.startswith(("08", "57P")) else None
    return Trouble.AWAY if "unable to open" in str(error) or "disk I/O" in str(error) else None


def writes_so_far() -> int | None:
    """Rows that this worker's connection has written, or tried to. None where no one counts them: on PostgreSQL, and
    on a connection that was closed amid a transaction."""
    if connection.vendor != "sqlite":
        return None
    try:
        return int(connection.connection.total_changes) if connection.connection else 0
    except sqlite3.ProgrammingError:
        return None


SHORT_WAIT = 0.05  # seconds: longer than another worker's transaction


@contextmanager
def without_waiting() -> Iterator[None]:
    """Inside the block a statement on SQLite waits for no other writer at all."""
    raw = None
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        raw = connection.connection
        raw.execute("PRAGMA busy_timeout = 0")
    try:
        yield
    finally:
        if raw is not None and connection.connection is raw:
            raw.execute(f"PRAGMA busy_timeout = {SHORT_WAIT * 1000:.0f}")


def wait_in_the_front() -> None:
    """From now on a statement waits only shortly for another writer: the request steps aside and is tried again.

    Elsewhere, in commands and tests, a statement waits by itself as the settings say. PostgreSQL queues writers fairly,
    by the row: there a wait ends after ten seconds.
    """
    options = connection.settings_dict.setdefault("OPTIONS", {})
    if connection.vendor == "sqlite":
        options["timeout"] = SHORT_WAIT
    elif connection.vendor == "postgresql":
        options["options"] = f"{options.get('options', '')} -c lock_timeout=10s".strip()
