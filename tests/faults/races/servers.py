"""Two servers on the database of the tests, and clients that send both at once."""

import http.client
import os
import subprocess
import tempfile
import threading
import time
import urllib.parse
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.test import Client

from shopsafe.school.models import Person
from shopsafe.serving.start import server_command
from tests.browser.server import answers, free_port

ROOT = Path(__file__).resolve().parents[3]
STARTS_WITHIN = 60  # seconds, on a busy machine
IDLE = 10  # seconds after which a connection is opened again
PATIENCE = 60  # seconds for one answer
TOKEN = "a" * 32  # the form's token, which must be that of the cookie

type Fields = Mapping[str, Sequence[str]]


@dataclass(frozen=True)
class Request:
    """What one person sends."""

    person: Person
    path: str
    fields: Fields


@dataclass(frozen=True)
class Answer:
    status: int
    began: float
    ended: float

    def beside(self, other: "Answer") -> bool:
        """Whether both were under way at one moment."""
        return self.began < other.ended and other.began < self.ended


class Line:
    """A connection to one server that is kept open."""

    def __init__(self, port: int) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        self.used = time.monotonic()

    def send(self, request: Request, cookie: str) -> Answer:
        body = urllib.parse.urlencode({**request.fields, "csrfmiddlewaretoken": [TOKEN]}, doseq=True)
        headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": cookie}
        if time.monotonic() - self.used > IDLE:
            self.connection.close()  # and opened again: the server closes an idle connection after a while
        began = time.perf_counter()
        self.connection.request("POST", request.path, body, headers)
        response = self.connection.getresponse()
        response.read()
        self.used = time.monotonic()
        return Answer(response.status, began, time.perf_counter())


class Pair:
    """Two servers, and a line to each."""

    def __init__(self, ports: Sequence[int], log: Path) -> None:
        self.lines, self.path = [Line(port) for port in ports], log
        self.cookies: dict[int, str] = {}

    def send(self, number: int, request: Request) -> Answer:
        """To one of the two servers."""
        return self.lines[number].send(request, self._cookie(request.person))

    def sign_in(self, people: Iterable[Person]) -> None:
        for person in people:
            self._cookie(person)

    def at_once(self, requests: Sequence[Request], late: Sequence[float]) -> list[Answer]:
        """`late` are seconds that each waits after the start."""
        start, answered = threading.Barrier(len(requests)), dict[int, Answer]()
        cookies = [self._cookie(request.person) for request in requests]

        def send(number: int) -> None:
            start.wait()
            time.sleep(late[number])
            answered[number] = self.lines[number].send(requests[number], cookies[number])

        threads = [threading.Thread(target=send, args=[number]) for number in range(len(requests))]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return [answered[number] for number in range(len(requests))]

    def _cookie(self, person: Person) -> str:
        """A sign-in of this person, made without the page for it: sessions lie in the database."""
        if person.pk not in self.cookies:
            client = Client()
            client.force_login(person)
            session = client.cookies[settings.SESSION_COOKIE_NAME].value
            self.cookies[person.pk] = f"{settings.SESSION_COOKIE_NAME}={session}; {settings.CSRF_COOKIE_NAME}={TOKEN}"
        return self.cookies[person.pk]

    def log(self) -> str:
        return self.path.read_text(errors="replace")


@contextmanager
def two_servers() -> Iterator[Pair]:
    """Two servers of one process each, as a school runs them but for the settings of the tests."""
    with tempfile.TemporaryDirectory() as folder:
        log, ports = Path(folder) / "server.log", [free_port(), free_port()]
        processes = [started(port, log) for port in ports]
        try:
            wait(ports, processes, log)
            yield Pair(ports, log)
        finally:
            for process in processes:
                process.terminate()
            for process in processes:
                process.wait(timeout=60)


def started(port: int, log: Path) -> subprocess.Popen[bytes]:
    command = server_command(host="127.0.0.1", port=port)
    command[command.index("--workers") + 1] = "1"
    own = {"DJANGO_SETTINGS_MODULE": "tests.settings", "DATABASE_URL": database_url(), "PORT": str(port)}
    with log.open("ab") as log_file:
        environment = os.environ | own | {"SITE_URL": f"http://127.0.0.1:{port}"}
        return subprocess.Popen(
            command, cwd=ROOT, env=environment, stdout=log_file, stderr=log_file, start_new_session=True
        )


def wait(ports: Sequence[int], processes: Sequence[subprocess.Popen[bytes]], log: Path) -> None:
    latest = time.monotonic() + STARTS_WITHIN
    while not all(answers(port) for port in ports):
        assert all(process.poll() is None for process in processes), log.read_text()
        assert time.monotonic() < latest, log.read_text()
        time.sleep(0.05)


def database_url() -> str:
    """The database that this process is connected to."""
    own = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{own['NAME']}"
    quoted = {name: urllib.parse.quote(str(own[name] or ""), safe="") for name in ("USER", "PASSWORD", "HOST")}
    port = f":{own['PORT']}" if own["PORT"] else ""
    return f"postgres://{quoted['USER']}:{quoted['PASSWORD']}@{quoted['HOST']}{port}/{own['NAME']}"
