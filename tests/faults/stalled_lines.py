"""Connections that hold a server up: they send half of something and wait, or they ask and do not read."""

import asyncio
import contextlib
import itertools
import socket
from collections import Counter
from collections.abc import AsyncIterator
from dataclasses import dataclass, field

HOST = b"Host: 127.0.0.1\r\n"
# With the cookie of a form's token: without it the form is refused before its body is asked for.
FORM = b"POST /sign-in/ HTTP/1.1\r\n" + HOST + b"Cookie: csrf=" + b"x" * 32 + b"\r\n"
FORM += b"Content-Type: application/x-www-form-urlencoded\r\n"
UNREAD_ANSWERS = 60  # asked for in a row on one line: more than the buffers of a socket hold
SMALL_BUFFER = 4096
DRIP_SECONDS = 0.5


@dataclass(frozen=True)
class LineKind:
    """`begins` is sent at once, then `drip` again and again. A line that never reads has a small buffer besides."""

    name: str
    begins: bytes
    drip: bytes = b""
    reads: bool = True


def kinds_of_lines(large_page: bytes) -> list[LineKind]:
    """`large_page` is a request for a page worth not reading."""
    return [
        LineKind("headers that stop", b"GET /sign-in/ HTTP/1.1\r\n" + HOST + b"Accept: text/"),
        LineKind("bodies that stop", FORM + b"Content-Length: 5000\r\n\r\nname=" + b"x" * 2000),
        LineKind("answers not read", large_page * UNREAD_ANSWERS, reads=False),
        LineKind("headers that drip", b"GET /sign-in/ HTTP/1.1\r\n" + HOST + b"Accept: text/", drip=b"x"),
        LineKind("bodies that drip", FORM + b"Content-Length: 5000\r\n\r\nname=", drip=b"x"),
    ]


@dataclass
class StalledLines:
    """So many lines, of every kind in turn. A line that the server ends is opened again."""

    port: int
    kinds: list[LineKind]
    count: int
    opened: Counter[str] = field(default_factory=Counter)
    ended: Counter[str] = field(default_factory=Counter)

    @contextlib.asynccontextmanager
    async def held(self) -> AsyncIterator[None]:
        """Inside the block all lines are open."""
        kinds = itertools.islice(itertools.cycle(self.kinds), self.count)
        tasks = [asyncio.create_task(self._again_and_again(kind)) for kind in kinds]
        while sum(self.opened.values()) < self.count:
            await asyncio.sleep(0.01)
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)

    async def _again_and_again(self, kind: LineKind) -> None:
        while True:
            with contextlib.suppress(OSError):
                await self._hold(kind)
            self.ended[kind.name] += 1
            await asyncio.sleep(0.1)

    async def _hold(self, kind: LineKind) -> None:
        """Returns when the server ends the line."""
        loop = asyncio.get_running_loop()
        with socket.socket() as line:
            line.setblocking(False)
            if not kind.reads:
                line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, SMALL_BUFFER)
            await loop.sock_connect(line, ("127.0.0.1", self.port))
            self.opened[kind.name] += 1
            async with asyncio.TaskGroup() as both:
                both.create_task(self._send(line, kind))
                await (self._until_ended(line) if kind.reads else asyncio.Event().wait())

    async def _send(self, line: socket.socket, kind: LineKind) -> None:
        loop = asyncio.get_running_loop()
        await loop.sock_sendall(line, kind.begins)
        while kind.drip:
            await asyncio.sleep(DRIP_SECONDS)
            await loop.sock_sendall(line, kind.drip)

    async def _until_ended(self, line: socket.socket) -> None:
        while await asyncio.get_running_loop().sock_recv(line, 65536):
            pass
        raise ConnectionResetError
