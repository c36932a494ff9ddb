"""Copies of the database that are whole although it is in use, the way back from one, and who must not come back.

SQLite only: a file copied with `cp` under a working server may be half of two states. PostgreSQL has pg_dump.
The list of erasures lies beside the database, by number and without a name: after a restore they are done again.
"""

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from shopsafe.language.messages import _

PIECE = 2_048  # pages, of 4,096 bytes each
MAGIC = b"SQLite format 3\x00"  # what every database that is not empty begins with

type Progress = Callable[[int, int], None]

FORMER_APPS = {"sessions"}  # whose migrations are in older backups, and are not the program's any more


class NotABackup(Exception):
    """The file can't be restored from. The sentence says why."""


class NotCopied(Exception):
    """No copy was made, and none is left half. The sentence says why."""


@dataclass(frozen=True, order=True)
class ErasedPerson:
    """Someone who was erased, by number. `seq` and `hash` are of an entry that named them: the same number in a
    database in which that entry is another one is someone else."""

    person: int
    school: int
    seq: int
    hash: str


def database() -> Path:
    return Path(str(connection.settings_dict["NAME"]))


def copy(source: Path, to: Path, progress: Progress = lambda done, pages: None) -> None:
    """`to` is there whole, on the disk, or not at all. Readable by its owner alone. Raises NotCopied.

    It is the database of one moment, and takes as long as the disk does: with each piece copied from what is there by
    then, SQLite would begin again whenever someone writes, and beside a class at work never end. `progress` is called
    with the pages copied and the pages of all.
    """
    part = to.with_name(f"{to.name}.part")
    try:
        part.unlink(missing_ok=True)
        os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        with closing(sqlite3.connect(source)) as live, closing(sqlite3.connect(part)) as kept:
            kept.execute("PRAGMA synchronous=OFF")  # it is on the disk before it has its name: below
            live.execute("BEGIN")
            live.execute("SELECT count(*) FROM sqlite_master").fetchone()  # holds the moment
            live.backup(kept, pages=PIECE, progress=lambda _, left, pages: progress(pages - left, pages))
            kept.execute("PRAGMA journal_mode=DELETE")
        with part.open("rb") as written:
            os.fsync(written.fileno())
        part.replace(to)
    except (OSError, sqlite3.Error) as wrong:
        part.unlink(missing_ok=True)
        raise NotCopied(f"{to}: {getattr(wrong, 'strerror', None) or wrong}.") from wrong


def look_at(file: Path) -> int:
    """How many entries the backup holds. Raises NotABackup: another file, a damaged one, or a newer program's."""
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as kept:
            [(sound,)] = kept.execute("PRAGMA integrity_check(1)").fetchall()
            [(entries,)] = kept.execute("SELECT count(*) FROM logbook_entry").fetchall()
            steps = set(kept.execute("SELECT app, name FROM django_migrations").fetchall())
    except (sqlite3.Error, UnicodeDecodeError) as wrong:
        raise NotABackup(_("{file} is not a backup of this program: {wrong}.", file=file, wrong=wrong)) from wrong
    if sound != "ok":
        raise NotABackup(_("{file} is damaged: {sound}.", file=file, sound=sound))
    if newer := sorted(unknown_steps(steps)):
        app, name = newer[-1]
        raise NotABackup(
            _(
                "{file} was written by a newer version of this program (its database has taken the step {app} "
                "{name}). Update the program, then restore.",
                file=file,
                app=app,
                name=name,
            )
        )
    return int(entries)


def unknown_steps(steps: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """The migrations among `steps` that this version of the program has never heard of."""
    known = set(MigrationLoader(None).disk_migrations)
    return {(app, name) for app, name in steps - known if app not in FORMER_APPS}


def set_aside(file: Path, at: datetime) -> Path:
    """Moves the database out of the way, in one piece. Raises NotABackup while a server has it open."""
    aside = file.with_name(f"{file.name}.before-{at:%Y%m%d-%H%M%S}")
    settle(file)
    file.rename(aside)
    for tail in ("-wal", "-shm", "-journal"):  # a damaged one keeps its journals, and the next would take them up
        journal = file.with_name(file.name + tail)
        if journal.exists():
            journal.rename(aside.with_name(aside.name + tail))
    return aside


def is_database(file: Path) -> bool:
    """Whether SQLite would take the file for a database (sqlite.org/fileformat.html, 1.3). It is not opened for that:
    SQLite deletes the journal beside a file that it can't read, and with it what might still be saved."""
    with file.open("rb") as opened:
        return opened.read(len(MAGIC)) in (b"", MAGIC)


def settle(file: Path) -> None:
    """Leaves no journal beside the database. Raises NotABackup while someone else has it open."""
    if not file.exists() or not is_database(file):
        return
    with closing(sqlite3.connect(file, timeout=1)) as old:
        try:
            [(mode,)] = old.execute("PRAGMA journal_mode=DELETE").fetchall()
        except sqlite3.OperationalError:
            mode = "in use"
        except sqlite3.DatabaseError:  # damaged: there is nothing to settle
            return
    if mode != "delete":
        raise NotABackup(_("The database is in use. Stop the server first."))


def ledger() -> Path:
    return settings.VAR / "erasures.jsonl"


def note_erasure(erased_person: ErasedPerson) -> None:
    """The database that knows of an erasure may be lost, and an older one come back."""
    with ledger().open("a") as file:
        file.write(json.dumps(asdict(erased_person)) + "\n")
        file.flush()
        os.fsync(file.fileno())


def noted_erasures() -> set[ErasedPerson]:
    return (
        {ErasedPerson(**json.loads(line)) for line in ledger().read_text().splitlines()} if ledger().exists() else set()
    )
