"""The database of the tests: migrated once, and copied for each process that pytest-xdist starts."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection


@contextmanager
def migrated() -> Iterator[None]:
    """The test database by its own name, made anew from all migrations."""
    before = connection.settings_dict["NAME"]
    make()
    yield
    connection.creation.destroy_test_db(before, verbosity=0)


@contextmanager
def copy_of_migrated(place: Path, worker: str) -> Iterator[None]:
    """A copy of that, which is made by the first to come and removed by the last to go.

    `place` is a folder that all workers of this run share, and no other run.
    """
    before, users = connection.settings_dict["NAME"], place / "users of the migrated database"
    with locked(place):
        if users.exists() and any(users.iterdir()):
            use(connection.creation._get_test_db_name())
        else:
            users.mkdir(exist_ok=True)
            make()
        (users / worker).touch()
        source = connection.settings_dict["NAME"]
        connection.close()  # PostgreSQL copies nothing that is in use; SQLite has all in one file when it is closed
        connection.creation.clone_test_db(worker, verbosity=0)
        use(connection.creation.get_test_db_clone_settings(worker)["NAME"])
    yield
    use(source)
    connection.creation.destroy_test_db(verbosity=0, suffix=worker)
    with locked(place):
        (users / worker).unlink()
        if not any(users.iterdir()):
            connection.creation.destroy_test_db(before, verbosity=0)
    use(before)


def make() -> None:
    connection.creation.create_test_db(verbosity=0, autoclobber=True)


def use(name: str) -> None:
    """Connects to it from now on. Django keeps one dictionary for the settings and the connection."""
    connection.close()
    connection.settings_dict["NAME"] = name


@contextmanager
def locked(place: Path) -> Iterator[None]:
    with (place / "database.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
