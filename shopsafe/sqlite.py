"""Puts a current SQLite in place of the one Python was built with, before Django asks for it.

Before 3.51.3 the write-ahead log can corrupt a database when a checkpoint meets a writer, so an older
library runs without it (see `pragmas`).
"""

import sys

WAL_IS_SOUND_FROM = (3, 51, 3)


def stand_in() -> None:
    """Let `import sqlite3` mean pysqlite3 where that is the newer of the two."""
    import sqlite3

    try:
        import pysqlite3
    except ImportError:
        return
    if pysqlite3.sqlite_version_info > sqlite3.sqlite_version_info:
        sys.modules["sqlite3"] = pysqlite3
        sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2


def wal_is_sound() -> bool:
    import sqlite3

    return sqlite3.sqlite_version_info >= WAL_IS_SOUND_FROM


def pragmas() -> str:
    """The statements each connection starts with. NORMAL is never used: it can lose the last sign-off."""
    durable = (
        "journal_mode=WAL; PRAGMA synchronous=FULL"
        if wal_is_sound()
        else "journal_mode=DELETE; PRAGMA synchronous=EXTRA"
    )
    return f"PRAGMA {durable}; PRAGMA foreign_keys=ON; PRAGMA secure_delete=ON;"
