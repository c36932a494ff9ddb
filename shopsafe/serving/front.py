"""What the server calls for each request (RSGI): it takes the whole body first, and then asks the WSGI application.

Measured on two cores with 30 connections that save answers (tests/faults/stalled.py), as saves a second beside the
server's WSGI mode, which reads bodies in the worker, and as CPU a save (WSGI mode: 2.0 ms):

    this front                                       0.92–1.14    2.1 ms
    the same, the application in a thread            0.79–0.98    2.4 ms
    waitress (buffers bodies, two processes)         0.88         2.1 ms
    ASGI mode, a front as this one, in a thread      0.85         2.9 ms
    ASGI mode, asgiref's WsgiToAsgi                  0.88         3.2 ms

Waitress has no limit on the time of a body, only on silence: a byte every ten seconds keeps a line. So the application
runs in the worker's one thread, between two turns of its event loop. While it runs, the server's own threads go on to
take connections, headers and pieces of bodies.
"""

import asyncio
import io
import os
from asyncio.events import _get_running_loop, _set_running_loop
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any
from wsgiref.types import WSGIApplication

from shopsafe.serving.bodies import BodyReader, BodyRefused, ClientGone, Limits
from shopsafe.serving.environ import LAST_TRY, OTHERS_WAIT, REFUSED_BODY, TRY_AGAIN, FileAnswer, environ_of
from shopsafe.serving.protocol import Exchange, Scope

BUSY_SECONDS = 10.0  # in which a request waits for its turn to write
FIRST_PAUSE, LONGEST_PAUSE = 0.02, 0.25  # seconds from one try to the next
TRIES_A_SECOND = 25  # of all requests that wait: the others must not go short
SENT_AS_FILE = 64 * 1024  # bytes from which on the server reads a file by itself


class Front:
    """One for each worker."""

    def __init__(self, application: WSGIApplication, limits: Limits | None = None) -> None:
        self.application = application
        self.bodies = BodyReader(limits or Limits())
        self.busy_seconds = BUSY_SECONDS
        self.waiting = 0  # requests between two tries

    async def __rsgi__(self, scope: Scope, protocol: Exchange) -> None:
        body, refused = b"", ""
        try:
            body = await self.bodies.read(scope.headers, protocol)
        except ClientGone:
            return
        except BodyRefused as refusal:
            refused = refusal.reason
        if refused:
            # The page that says so comes from the application, with the headers that every page has.
            answer = self._ask(environ_of(scope, b"") | {REFUSED_BODY: refused, "CONTENT_LENGTH": "0"})
            answer.headers.append(("connection", "close"))
        else:
            answer = await self._ask_until_it_can_write(scope, body)
        answer.send(protocol)

    async def _ask_until_it_can_write(self, scope: Scope, body: bytes) -> "Answer":
        """While the database is locked, a request that has written nothing yet steps aside and is asked again: the
        worker goes on with the others, and a lock, however long, holds no worker."""
        time, pause = asyncio.get_running_loop().time, FIRST_PAUSE
        until = time() + self.busy_seconds
        while True:
            is_again = pause > FIRST_PAUSE
            environ = environ_of(scope, body) | {LAST_TRY: time() >= until, OTHERS_WAIT: is_again or self.waiting > 0}
            answer = self._ask(environ)
            if environ[LAST_TRY] or TRY_AGAIN not in environ:
                return answer
            self.waiting += 1
            try:
                await asyncio.sleep(max(pause, self.waiting / TRIES_A_SECOND))
            finally:
                self.waiting -= 1
            pause = min(2 * pause, LONGEST_PAUSE)

    def _ask(self, environ: dict[str, Any]) -> "Answer":
        with outside_the_loop():
            return Answer(self.application, environ)


class Answer:
    """The application's whole answer: the worker is free before a byte of it is sent, however slowly it is read."""

    def __init__(self, application: WSGIApplication, environ: dict[str, Any]) -> None:
        self.status, self.headers, self.body, self.path = 500, list[tuple[str, str]](), b"", ""
        pieces = application(environ, self._start)
        try:
            self.path = path_of(pieces)
            if not self.path:
                self.body = b"".join(pieces)
        finally:
            if close := getattr(pieces, "close", None):
                close()

    def _start(
        self, status: str, headers: list[tuple[str, str]], exc_info: object = None, /
    ) -> Callable[[bytes], object]:
        self.status = int(status[:3])
        self.headers = [(name.lower(), value) for name, value in headers]
        return no_writing

    def send(self, protocol: Exchange) -> None:
        if self.path:
            protocol.response_file(self.status, self.headers, self.path)
        else:
            protocol.response_bytes(self.status, self.headers, self.body)


def no_writing(_: bytes) -> object:
    """PEP 3333 keeps a way to write for very old applications. Django has no use for it."""
    raise NotImplementedError


def path_of(pieces: Iterable[bytes]) -> str:
    """Return the path of a large file that is the whole answer, or "". A large file is never in memory."""
    file = pieces.file if isinstance(pieces, FileAnswer) else None
    if not isinstance(file, io.BufferedReader) or file.tell():
        return ""
    path = file.name if isinstance(file.name, str) and os.path.isabs(file.name) else ""
    return path if path and os.fstat(file.fileno()).st_size >= SENT_AS_FILE else ""


@contextmanager
def outside_the_loop() -> Iterator[None]:
    """The application is no coroutine: Django refuses the database to code that runs inside an event loop."""
    loop = _get_running_loop()
    _set_running_loop(None)
    try:
        yield
    finally:
        _set_running_loop(loop)
