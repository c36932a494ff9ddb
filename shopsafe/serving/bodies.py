"""Reads a request's body whole, within a time and a size, before a worker begins on the request. Knows no Django.

A worker that reads the body itself is held by any line that sends half a form and waits: two such lines stopped the
whole program. Here a waiting body costs a little memory, and nothing else.
"""

import asyncio
from collections.abc import AsyncIterable
from dataclasses import dataclass

from shopsafe.serving.protocol import Headers

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Limits:
    """seconds   for a body to arrive, from the end of the headers
    largest   bytes of one body: a question bank's zip file may have 10 MB
    small     bytes that always find room: an answer, a form
    together  bytes of all bodies that one worker holds unfinished
    """

    seconds: float = 15
    largest: int = 12 * MEGABYTE
    small: int = 64 * 1024
    together: int = 64 * MEGABYTE


class BodyRefused(Exception):
    """The body was not taken. `reason` is a key of REFUSALS."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


class ClientGone(Exception):
    """The line broke before the body was whole: there is no one to answer, and half a form is no form."""


LATE, LARGE, NO_LENGTH, CROWDED = "late", "large", "no-length", "crowded"
REFUSALS = {LATE: 408, LARGE: 413, NO_LENGTH: 411, CROWDED: 503}

# Seconds after the last one in which what arrived while the worker was busy is still taken up.
GRACE = 0.1


class BodyReader:
    """Reads the bodies of one worker, and counts what it holds unfinished."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.held = 0

    async def read(self, headers: Headers, pieces: AsyncIterable[bytes]) -> bytes:
        """Return the body; empty without one. Raises BodyRefused, ClientGone.

        A body without a length is refused: the server can't tell its end from a broken line.
        """
        if "transfer-encoding" in headers:
            raise BodyRefused(NO_LENGTH)
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()) or len(length) > 15 or int(length) > self.limits.largest:
            raise BodyRefused(LARGE)
        return await self._in_time(int(length), pieces) if int(length) else b""

    async def _in_time(self, length: int, pieces: AsyncIterable[bytes]) -> bytes:
        task, loop, is_late = asyncio.current_task(), asyncio.get_running_loop(), False

        def cut_off() -> None:
            nonlocal is_late
            is_late = True
            if task:
                task.cancel()

        def last_call() -> None:
            timers.append(loop.call_later(GRACE, cut_off))

        timers = [loop.call_later(self.limits.seconds, last_call)]
        try:
            return await self._whole(length, pieces)
        except asyncio.CancelledError:
            if not is_late:
                raise
            raise BodyRefused(LATE) from None
        finally:
            for timer in timers:
                timer.cancel()

    async def _whole(self, length: int, pieces: AsyncIterable[bytes]) -> bytes:
        body = bytearray()
        try:
            async for piece in pieces:
                body += piece
                self.held += len(piece)
                if len(body) > self.limits.small and self.held > self.limits.together:
                    raise BodyRefused(CROWDED)
        finally:
            self.held -= len(body)
        if len(body) != length:
            raise ClientGone
        return bytes(body)
