"""Puts a current SQLite in place of the one Python was built with, before Django asks for it.

Before 3.51.3 the write-ahead log can corrupt a database when a checkpoint meets a writer, so an older
library runs without it (see `pragmas`).
"""

import sys
from typing import Any

# The limits that Django names: their numbers in sqlite3.h, and SQLite's own defaults (https://sqlite.org/limits.html),
# for a library that has no names for them and can't be asked.
LIMITS = {"SQLITE_LIMIT_COLUMN": (2, 2_000), "SQLITE_LIMIT_VARIABLE_NUMBER": (9, 32_766)}
WAL_IS_SOUND_FROM = (3, 51, 3)


def use_current_sqlite() -> None:
    """Let `import sqlite3` mean pysqlite3 where that is the newer of the two."""
    import sqlite3

    try:
        import pysqlite3
    except ImportError:
        return
    if pysqlite3.sqlite_version_info > sqlite3.sqlite_version_info:
        for name, (number, _) in LIMITS.items():
            if not hasattr(pysqlite3, name):
                setattr(pysqlite3, name, number)
        sys.modules["sqlite3"] = pysqlite3
        sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2


def wal_is_sound() -> bool:
    import sqlite3

    return sqlite3.sqlite_version_info >= WAL_IS_SOUND_FROM


def options() -> dict[str, Any]:
    """What Django connects with: writers queue up at BEGIN instead of failing halfway."""
    import sqlite3

    chosen: dict[str, Any] = {"transaction_mode": "IMMEDIATE", "timeout": 20, "init_command": pragmas()}
    if not hasattr(sqlite3.Connection, "getlimit"):

        class Connection(sqlite3.Connection):
            """pysqlite3 lacks the one method of Python 3.11 that Django asks for."""

            def getlimit(self, category: int, /) -> int:
                return dict(LIMITS.values())[category]

        chosen["factory"] = Connection
    return chosen


def pragmas() -> str:
    """The statements each connection starts with. NORMAL is never used: it can lose the last sign-off."""
    durable = (
        "journal_mode=WAL; PRAGMA synchronous=FULL"
        if wal_is_sound()
        else "journal_mode=DELETE; PRAGMA synchronous=EXTRA"
    )
    return f"PRAGMA {durable}; PRAGMA foreign_keys=ON; PRAGMA secure_delete=ON;"


def version_text() -> str:
    """What the server says of its database when it starts."""
    import sqlite3

    journal = "write-ahead log, synchronous FULL" if wal_is_sound() else "rollback journal, synchronous EXTRA"
    return f"SQLite {sqlite3.sqlite_version}: {journal}"
