"""The server that is killed, on either engine, and the worker that makes its sets of prints."""

import json
import os
import subprocess
import sys
import urllib.parse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg

from tests.browser.server import ROOT, Server, on_a_copy, prepare

SETTINGS = {"DJANGO_SETTINGS_MODULE": "tests.faults.settings"}


class SqliteServer(Server):
    engine = "sqlite"

    def environment(self) -> dict[str, str]:
        return super().environment() | SETTINGS

    def worker(self) -> "subprocess.Popen[bytes]":
        """Starts what makes the sets that wait."""
        with (self.database.parent / "worker.log").open("ab") as log:
            command = [sys.executable, "manage.py", "print_sets"]
            return subprocess.Popen(command, cwd=ROOT, env=self.environment(), stdout=log, stderr=log)


@dataclass
class PostgresServer(SqliteServer):
    """`database` names no file: its folder holds the logs."""

    database_url: str = ""
    engine = "postgresql"

    def environment(self) -> dict[str, str]:
        return super().environment() | {"DATABASE_URL": self.database_url}

    def rows(self, sql: str, *values: object) -> list[tuple[object, ...]]:
        with psycopg.connect(self.database_url, autocommit=True) as connection:
            found = connection.execute(sql.replace("?", "%s"), values).fetchall()
        return [tuple(json.dumps(one) if isinstance(one, dict | list) else one for one in row) for row in found]

    def write(self, sql: str, *values: object) -> None:
        with psycopg.connect(self.database_url, autocommit=True) as connection:
            connection.execute(sql.replace("?", "%s"), values)


def sqlite_server(prepared: Path, own: Path) -> SqliteServer:
    server = on_a_copy(prepared, own)
    return SqliteServer(var=server.var, database=server.database)


@contextmanager
def server_of(folder: Path) -> Iterator[SqliteServer]:
    """A server on a demo school of its own, on the engine that DATABASE_URL names."""
    url = os.environ.get("DATABASE_URL", "")
    if not url.startswith("postgres"):
        prepare(folder / "prepared")
        yield sqlite_server(folder / "prepared", folder / "own")
        return
    with postgres_database(url) as own:
        (folder / "own").mkdir()
        server = PostgresServer(var=folder / "var", database=folder / "own" / "none", database_url=own)
        for command in (["migrate", "--no-input"], ["collectstatic", "--no-input"], ["shelf"], ["demo"]):
            server.manage(*command)
        yield server


@contextmanager
def postgres_database(url: str) -> Iterator[str]:
    """A database of our own on the server of this address."""
    parts = urllib.parse.urlsplit(url)
    name = f"{parts.path.lstrip('/')}_kills"
    with psycopg.connect(parts._replace(path="/postgres").geturl(), autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        connection.execute(f'CREATE DATABASE "{name}"')
        yield parts._replace(path=f"/{name}").geturl()
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
