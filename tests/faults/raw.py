"""Requests as bytes on a socket: many at a time, at little cost, and as slow or as broken as a test wants them."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

PATIENCE = 30.0  # seconds


class NoAnswer(Exception):
    """The line broke, or no whole answer came in time."""


@dataclass(frozen=True)
class RawAnswer:
    status: int
    body: bytes


def request(method: str, path: str, *, cookie: str = "", form: Mapping[str, object] | None = None) -> bytes:
    """Return a whole request; with `form` it carries one, encoded as a browser does."""
    lines = [f"{method} {path} HTTP/1.1", "Host: 127.0.0.1"]
    if cookie:
        lines.append(f"Cookie: {cookie}")
    body = b""
    if form is not None:
        body = urlencode(form, doseq=True).encode()
        lines += ["Content-Type: application/x-www-form-urlencoded", f"Content-Length: {len(body)}"]
    return "\r\n".join([*lines, "", ""]).encode() + body


class Connection:
    """One connection that is kept open from request to request."""

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.reader, self.writer = reader, writer

    @classmethod
    async def open(cls, port: int) -> "Connection":
        return cls(*await asyncio.open_connection("127.0.0.1", port))

    async def ask(self, data: bytes, patience: float = PATIENCE) -> RawAnswer:
        """Raises NoAnswer."""
        try:
            async with asyncio.timeout(patience):
                self.writer.write(data)
                return await self._answer()
        except (OSError, asyncio.IncompleteReadError) as error:
            raise NoAnswer(str(error)) from error

    async def _answer(self) -> RawAnswer:
        head = (await self.reader.readuntil(b"\r\n\r\n")).decode("latin-1").lower()
        length = next((line[15:] for line in head.split("\r\n") if line.startswith("content-length:")), "0")
        return RawAnswer(int(head[9:12]), await self.reader.readexactly(int(length)))

    def close(self) -> None:
        self.writer.close()


async def ask_once(port: int, data: bytes, patience: float = PATIENCE) -> RawAnswer:
    """One request on a connection of its own. Raises NoAnswer."""
    try:
        connection = await Connection.open(port)
    except OSError as error:
        raise NoAnswer(str(error)) from error
    try:
        return await connection.ask(data, patience)
    finally:
        connection.close()
