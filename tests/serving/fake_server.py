"""Takes the place of the server:  a request in pieces, and what was answered."""

import asyncio
from collections.abc import AsyncIterator
from dataclasses import dataclass, field


class FakeHeaders:
    def __init__(self, pairs: list[tuple[str, str]]) -> None:
        self.pairs = pairs

    def __contains__(self, name: str) -> bool:
        return any(name == known for known, _ in self.pairs)

    def get(self, name: str, default: str) -> str:
        return next((value for known, value in self.pairs if known == name), default)

    def items(self) -> list[tuple[str, str]]:
        return self.pairs


@dataclass
class FakeScope:
    headers: FakeHeaders
    method: str = "POST"
    path: str = "/sign-in/"
    query_string: str = ""
    scheme: str = "http"
    http_version: str = "1.1"
    server: str = "127.0.0.1:8000"
    client: str = "127.0.0.1:50000"


@dataclass
class FakeExchange:
    """`stalls` after the last piece: nothing more comes, and the line stays open."""

    pieces: list[bytes] = field(default_factory=list)
    stalls: bool = False
    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    body: bytes = b""
    path: str = ""

    async def __aiter__(self) -> AsyncIterator[bytes]:
        for piece in self.pieces:
            await asyncio.sleep(0)
            yield piece
        if self.stalls:
            await asyncio.Event().wait()

    def response_bytes(self, status: int, headers: list[tuple[str, str]], body: bytes, /) -> None:
        self.status, self.headers, self.body = status, dict(headers), body

    def response_file(self, status: int, headers: list[tuple[str, str]], path: str, /) -> None:
        self.status, self.headers, self.path = status, dict(headers), path


def sent(length: int | str | None = None, *more: tuple[str, str]) -> FakeHeaders:
    """Headers with this Content-Length."""
    known = [] if length is None else [("content-length", str(length))]
    return FakeHeaders([("host", "127.0.0.1"), *known, *more])
