"""The backup of every night: a whole copy of the database in a folder, checked, and the oldest copies removed.

A record that was erased stays in the backups made before, until they are removed; a restore erases it again.
"""

import os
import shutil
import subprocess
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection

from machines.jobs.failing import JobFailed
from shopsafe.database import backups
from shopsafe.language.kept import together
from shopsafe.language.messages import _, counted

LONGEST = 3600  # seconds for a dump of PostgreSQL
KINDS = {"sqlite": "sqlite3", "postgresql": "dump"}


def keep_a_backup(at: datetime) -> str:
    """A new backup named by its day; a second one on a day takes the place of the first."""
    folder = settings.BACKUPS
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as wrong:
        raise JobFailed(_("The backup folder can’t be made: {problem}.", problem=wrong.strerror)) from wrong
    ending = KINDS[connection.vendor]
    file = folder / f"shopsafe-{at:%Y-%m-%d}.{ending}"
    if connection.vendor == "sqlite":
        _copy_sqlite(file)
    else:
        _dump_postgres(file)
    removed = remove_oldest(folder, ending, settings.BACKUPS_KEPT)
    size = f"{file.stat().st_size / 1_000_000:.1f}"
    kept = _("{file}, {size} MB.", file=file.name, size=size)
    if not removed:
        return kept
    return together([kept, counted("{count} old removed.", "{count} old removed.", count=removed)])


def remove_oldest(folder: Path, ending: str, kept: int) -> int:
    """Leaves the latest `kept` backups; returns how many were removed. Files of other names stay."""
    old = sorted(folder.glob(f"shopsafe-????-??-??.{ending}"))[: -kept or None]
    for file in old:
        file.unlink(missing_ok=True)
    return len(old)


def _copy_sqlite(file: Path) -> None:
    fresh = file.with_name(f"{file.name}.new")
    try:
        backups.copy(backups.database(), fresh)
        backups.look_at(fresh)
        fresh.replace(file)
    except (backups.NotCopied, backups.NotABackup) as wrong:
        raise JobFailed(wrong.args[0]) from wrong
    finally:
        fresh.unlink(missing_ok=True)


def _dump_postgres(file: Path) -> None:
    program = shutil.which("pg_dump")
    if program is None:
        raise JobFailed(_("pg_dump is not installed on the server: install the PostgreSQL client programs."))
    fresh = file.with_name(f"{file.name}.new")
    of = connection.settings_dict
    server = {"PGHOST": of["HOST"], "PGPORT": of["PORT"], "PGUSER": of["USER"], "PGPASSWORD": of["PASSWORD"]}
    env = os.environ | {name: str(value) for name, value in server.items() if value}
    command = [program, "--format=custom", f"--file={fresh}", str(of["NAME"])]
    try:
        done = subprocess.run(command, env=env, capture_output=True, text=True, timeout=LONGEST, check=False)  # noqa: S603
        if done.returncode:
            problem = (done.stderr.strip() or _("no reason given")).splitlines()[-1]
            raise JobFailed(_("pg_dump: {problem}", problem=problem))
        fresh.chmod(0o600)
        fresh.replace(file)
    except subprocess.TimeoutExpired as late:
        raise JobFailed(_("pg_dump took longer than {minutes} minutes.", minutes=LONGEST // 60)) from late
    finally:
        fresh.unlink(missing_ok=True)
