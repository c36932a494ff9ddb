"""Sweeps out of the database's files what no table holds any more, so that what was erased can't be read off the disk.

SQLite: the file is written again (what was deleted was zeroed already: `secure_delete`), the write-ahead log emptied.
PostgreSQL: every table is written again. Its own write-ahead log keeps what passed through it until the server recycles
it, and backups keep what they hold: erasures are to be done again after a restore.
"""

import mmap
import shutil
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import OperationalError, connection

PATIENCE = 5  # seconds in which others may end what they began before an erasure


def sweep() -> bool:
    """Whether all is swept. False inside a transaction, or where someone else is still reading: sweep again later.

    Sets of prints name students inside their files: those that wait to be fetched go too, and are made again.
    """
    shutil.rmtree(settings.PRINTS, ignore_errors=True)
    if connection.in_atomic_block:
        return False
    if connection.vendor == "sqlite":
        return _sweep_sqlite()
    return _sweep_postgres()


def _sweep_postgres() -> bool:
    tables = connection.introspection.django_table_names(only_existing=True)
    with connection.cursor() as cursor:
        if not _nobody_sees_the_past(cursor):
            return False
        for table in sorted(tables):
            cursor.execute(f"VACUUM FULL {connection.ops.quote_name(table)}")
    return True


def _nobody_sees_the_past(cursor: Any) -> bool:
    """Waits for those who began before now, a statistics run among them: for them VACUUM keeps what was deleted.

    Who writes in another database of the server counts too: what VACUUM itself sees is as old as the oldest of them.
    """
    cursor.execute("SELECT pg_current_xact_id()::xid::text")
    [now] = cursor.fetchone()
    latest = time.monotonic() + PATIENCE
    while True:
        cursor.execute(
            "SELECT NOT EXISTS (SELECT FROM pg_stat_activity WHERE pid <> pg_backend_pid()"
            " AND (age(backend_xid) >= age(%s::xid)"
            " OR datname = current_database() AND age(backend_xmin) >= age(%s::xid)))",
            [now, now],
        )
        [alone] = cursor.fetchone()
        if alone or time.monotonic() > latest:
            return bool(alone)
        time.sleep(0.1)


def _sweep_sqlite() -> bool:
    with connection.cursor() as cursor:
        try:
            cursor.execute("VACUUM")
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        except OperationalError:  # someone else holds the database
            return False
        busy, *_ = cursor.fetchone()
    return not busy


def files_holding(*texts: str) -> list[Path]:
    """The files of this installation (its database among them) in which one of the texts still stands, as it is.

    Compressed files (a PDF) can't be looked into this way.
    """
    encoded_texts = [text.encode() for text in texts if text]
    return [path for path in sorted(kept_files()) if any(holds(path, text) for text in encoded_texts)]


def kept_files() -> set[Path]:
    """Every file in var/ but those of the program itself, and the database with its journals, wherever it lies."""
    paths = {path for path in settings.VAR.rglob("*") if settings.STATIC_ROOT not in path.parents}
    if connection.vendor == "sqlite":
        name = str(connection.settings_dict["NAME"])
        paths |= {Path(name + tail) for tail in ("", "-wal", "-shm", "-journal")}
    return {path for path in paths if path.is_file()}


def holds(path: Path, text: bytes) -> bool:
    with path.open("rb") as file:
        if not path.stat().st_size:
            return False
        with mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as content:
            return content.find(text) >= 0
