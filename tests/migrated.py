"""A database on which all migrations have run, kept from one run of the tests to the next: they take 14 seconds.

It is kept under the digest of the migrations, so that it serves until one of them is changed. Each copy still runs
`migrate`, which then has only the triggers to install.
"""

import fcntl
import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = Path(os.environ.get("SHOPSAFE_VAR", ROOT / "var" / "test")) / "migrated"
APPS = ("shopsafe", "quizzes", "machines")


def digest_of_migrations() -> str:
    """Of everything that the tables follow from: our migrations, and Django's own by its version."""
    digest = hashlib.sha256(version("django").encode())
    for path in sorted(path for app in APPS for path in (ROOT / app).rglob("migrations/*.py")):
        digest.update(path.relative_to(ROOT).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]


def kept_file() -> Path:
    return FOLDER / f"{digest_of_migrations()}.sqlite3"


def take_copy(database: Path) -> bool:
    """Put a copy of the kept file there, if there is one."""
    kept = kept_file()
    if not kept.exists():
        return False
    for part in ("-wal", "-shm"):  # of a run that was killed: they would be read as part of the copy
        database.with_name(database.name + part).unlink(missing_ok=True)
    shutil.copyfile(kept, database)
    return True


def keep(database: Path) -> None:
    """Keep this file, which no process has open, in place of those of earlier migrations."""
    for earlier in FOLDER.glob("*.sqlite3"):
        earlier.unlink()
    half = FOLDER / "half"
    shutil.copyfile(database, half)
    half.rename(kept_file())


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """The first of several processes migrates, and the others wait for what it keeps."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with (FOLDER / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
