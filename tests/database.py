"""The database of the tests: migrated once, and copied for each process that pytest-xdist starts."""

# ruff: noqa: S608  the names in the statements are those of our own tables

import fcntl
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.db import connection, transaction

from tests import migrated as kept
from tests.logbook.logbook_bypass import lifted

MADE_BY_MIGRATIONS = {"django_content_type", "auth_permission"}


@contextmanager
def migrated() -> Iterator[None]:
    """The test database by its own name, made again from all migrations."""
    before = connection.settings_dict["NAME"]
    make()
    yield
    connection.creation.destroy_test_db(before, verbosity=0)


@contextmanager
def copy_of_migrated(place: Path, worker: str) -> Iterator[str]:
    """A copy of that, which is made by the first to come and removed by the last to go.

    `place` is a folder that all workers of this run share, and no other run. Yields the name of what was copied.
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
    yield source
    use(source)
    connection.creation.destroy_test_db(verbosity=0, suffix=worker)
    with locked(place):
        (users / worker).unlink()
        if not any(users.iterdir()):
            connection.creation.destroy_test_db(before, verbosity=0)
    use(before)


def make() -> None:
    """The test database by its own name: a copy of the kept one where there is one."""
    if connection.vendor == "sqlite":
        make_from_file()
    else:
        make_from_template()


def make_from_file() -> None:
    database = Path(connection.creation._get_test_db_name())
    with kept.one_at_a_time():
        is_copy = kept.take_copy(database)
        connection.creation.create_test_db(verbosity=0, autoclobber=True, keepdb=is_copy)
        if not is_copy:
            connection.close()
            kept.keep(database)


def make_from_template() -> None:
    """What is kept is a database of the same server, and gone with it where `make test` started one for itself."""
    creation = connection.creation
    name = creation._get_test_db_name()
    template = f"{name}_migrated_{kept.digest_of_migrations()}"
    with kept.one_at_a_time():
        with creation._nodb_cursor() as cursor:
            cursor.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [f"{name}_migrated_"])
            kept_names = {row[0] for row in cursor.fetchall()}
            for earlier in kept_names - {template}:
                cursor.execute(f'DROP DATABASE "{earlier}"')
            if is_copy := template in kept_names:
                cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
                cursor.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        creation.create_test_db(verbosity=0, autoclobber=True, keepdb=is_copy)
        if not is_copy:
            connection.close()
            with creation._nodb_cursor() as cursor:
                cursor.execute(f'CREATE DATABASE "{template}" TEMPLATE "{name}"')


def put_back(source: str) -> None:
    """Everything as it was copied, after a test that commits."""
    if connection.vendor == "sqlite":
        with closing(connection.Database.connect(source)) as whole:
            connection.ensure_connection()
            whole.backup(connection.connection)
    else:
        empty_again()


def empty_again() -> None:
    """Remove every row that the migrations did not make, table by table where there is one: most tables are empty."""
    tables = sorted({*connection.introspection.django_table_names(include_views=False)} - MADE_BY_MIGRATIONS)
    with transaction.atomic(), lifted(connection), connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(f"(SELECT '{table}' FROM \"{table}\" LIMIT 1)" for table in tables))
        for (table,) in cursor.fetchall():
            cursor.execute(f'DELETE FROM "{table}"')


def use(name: str) -> None:
    """Connects to it from now on. Django keeps one dictionary for the settings and the connection."""
    connection.close()
    connection.settings_dict["NAME"] = name


@contextmanager
def locked(place: Path) -> Iterator[None]:
    with (place / "database.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
