"""A real server on a copy of a prepared database: what a browser test talks to."""

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from shopsafe.serving.start import server_command
from tests import migrated

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"  # what looks at our pages: served beside our own files
STARTS_WITHIN = 30  # seconds
FULL = "full.sqlite3"  # the demo with a class of 36 at 16 machines


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        return probe.getsockname()[1]


def answers(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex(("127.0.0.1", port)) == 0


def environment(var: Path, database: Path, port: int = 8000) -> dict[str, str]:
    """The settings a school runs with, on files of our own."""
    return os.environ | {
        "DJANGO_SETTINGS_MODULE": "shopsafe.settings",
        "SHOPSAFE_VAR": str(var),
        "DATABASE_URL": f"sqlite:///{database}",
        "PORT": str(port),
        "SITE_URL": f"http://127.0.0.1:{port}",
    }


def manage(*arguments: str, var: Path, database: Path) -> str:
    return run_manage(arguments, environment(var, database))


def run_manage(arguments: Sequence[str], env: dict[str, str]) -> str:
    return run_python(("manage.py", *arguments), env)


def run_python(arguments: Sequence[str], env: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{' '.join(arguments)}\n{done.stdout}{done.stderr}"
    return done.stdout


@dataclass
class Server:
    """The program as `make run` starts it. It is stopped, killed and started again as often as a test likes."""

    var: Path  # static files and the secret, shared by all servers of a session
    database: Path  # this server's own
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None
    language: str = "en"

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def command(self) -> list[str]:
        return server_command(host="127.0.0.1", port=self.port)

    def environment(self) -> dict[str, str]:
        return environment(self.var, self.database, self.port) | {"LANGUAGE": self.language}

    def start(self) -> "Server":
        with (self.database.parent / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                self.command(),
                cwd=ROOT,
                env=self.environment(),
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        self._wait()
        return self

    def _wait(self) -> None:
        latest = time.monotonic() + STARTS_WITHIN
        while not answers(self.port):
            assert self.process, "never started"
            assert self.process.poll() is None, self.log()
            assert time.monotonic() < latest, self.log()
            time.sleep(0.05)

    def stop(self) -> None:
        """As a service manager would: requests under way are answered first."""
        if self.process is not None:
            self.process.terminate()
            self._ended()

    def kill(self) -> None:
        """As a power cut would: server and workers at once."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self._ended()

    def restart(self) -> None:
        self.stop()
        self.start()

    def _ended(self) -> None:
        assert self.process, "never started"
        self.process.wait(timeout=60)
        self.process = None
        # The workers are not ours to wait for: the last one is gone when the port is.
        while answers(self.port):
            time.sleep(0.05)

    def renew(self, place: Path) -> None:
        """Everything as it was prepared, in the running server's own database: its next query reads it."""
        with closing(sqlite3.connect(place / "demo.sqlite3")) as whole, closing(self._own()) as own:
            whole.backup(own)

    def _own(self) -> sqlite3.Connection:
        return sqlite3.connect(self.database, timeout=20)

    def manage(self, *arguments: str) -> str:
        return run_manage(arguments, self.environment())

    def rows(self, sql: str, *values: object) -> list[tuple[object, ...]]:
        """What the database holds now, read beside the running server."""
        with closing(sqlite3.connect(f"file:{self.database}?mode=ro", uri=True)) as connection:
            return connection.execute(sql, values).fetchall()

    def write(self, sql: str, *values: object) -> None:
        """Changes what no page changes: the time that has passed. Waits its turn, like any other writer."""
        table = sql.split()[1]
        named = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?"
        with closing(self._own()) as connection, connection:
            triggers = connection.execute(named, (table,)).fetchall()
            for name, _ in triggers:
                connection.execute(f"DROP TRIGGER {name}")
            connection.execute(sql, values)
            for _, definition in triggers:
                connection.execute(definition)

    def log(self) -> str:
        return (self.database.parent / "server.log").read_text(errors="replace")


def prepare(place: Path) -> None:
    """Collect the static files, make an empty database, fill another with the shelf and the demo school, and a third
    with a class of 36 at 16 machines."""
    var, database = place / "var", place / "demo.sqlite3"
    var.mkdir(parents=True)
    with migrated.one_at_a_time():
        is_copy = migrated.take_copy(database)
        manage("migrate", "--no-input", var=var, database=database)
        closed(database)
        if not is_copy:
            migrated.keep(database)
    shutil.copyfile(database, place / "empty.sqlite3")
    for command in (["collectstatic", "--no-input"], ["shelf"], ["demo"]):
        manage(*command, var=var, database=database)
    if AXE.exists():
        shutil.copy(AXE, var / "static")
    closed(database)
    full = place / FULL
    shutil.copyfile(database, full)
    run_python(("-m", "tests.browser.full_class"), environment(var, full))
    closed(full)


def closed(database: Path) -> None:
    """All of a database that no one uses is in its one file from now on."""
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def on_a_copy(place: Path, own: Path, name: str = "demo.sqlite3") -> Server:
    """A server on its own copy of a prepared database. No one has the prepared file open, so copying is safe."""
    own.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(place / name, own / name)
    return Server(var=place / "var", database=own / name)


if __name__ == "__main__":  # `make test` prepares while other tests run
    prepare(Path(sys.argv[1]))
