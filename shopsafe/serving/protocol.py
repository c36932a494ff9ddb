"""The part of the server's interface (RSGI 1.x) that is used here, so that tests can take the place of the server."""

from collections.abc import AsyncIterator
from typing import Protocol


class Headers(Protocol):
    """Names in lower case; a name may come more than once."""

    def __contains__(self, name: str, /) -> bool: ...
    def get(self, name: str, default: str, /) -> str: ...
    def items(self) -> list[tuple[str, str]]: ...


class Scope(Protocol):
    """A request without its body. `path` is decoded; `server` and `client` are address:port."""

    method: str
    path: str
    query_string: str
    scheme: str
    http_version: str
    server: str
    client: str

    @property
    def headers(self) -> Headers: ...


class Exchange(Protocol):
    """The body in pieces, and the ways to answer. A broken line ends the pieces early, without an error."""

    def __aiter__(self) -> AsyncIterator[bytes]: ...
    def response_bytes(self, status: int, headers: list[tuple[str, str]], body: bytes, /) -> None: ...
    def response_file(self, status: int, headers: list[tuple[str, str]], path: str, /) -> None: ...
