"""What the WSGI application learns of a request (PEP 3333), from what the server knows of it. Knows no Django."""

import io
import sys
from typing import Any, BinaryIO

from shopsafe.serving.protocol import Scope

# What the front and the application tell each other in the WSGI environment:
REFUSED_BODY = "shopsafe.refused_body"  # a key of bodies.REFUSALS: there is no body, only the page that says so
LAST_TRY = "shopsafe.last_try"  # whether this answer is sent whatever it is
TRY_AGAIN = "shopsafe.try_again"  # set by the application: the database was busy, and nothing is written yet
OTHERS_WAIT = "shopsafe.others_wait"  # whether the database is known to be busy: then a try takes no time
WRITES_BEFORE = "shopsafe.writes_before"  # what the worker had written when the request began

FILE_PIECE = 64 * 1024


class FileAnswer:
    """An answer that is a file: PEP 3333's `wsgi.file_wrapper`. The server may send the file itself."""

    def __init__(self, file: BinaryIO, piece: int = FILE_PIECE) -> None:
        self.file, self.piece = file, piece

    def __iter__(self) -> "FileAnswer":
        return self

    def __next__(self) -> bytes:
        if data := self.file.read(self.piece):
            return data
        raise StopIteration

    def close(self) -> None:
        self.file.close()


SAME_FOR_ALL: dict[str, Any] = {
    "SCRIPT_NAME": "",
    "wsgi.version": (1, 0),
    "wsgi.errors": sys.stderr,
    "wsgi.multithread": False,
    "wsgi.multiprocess": True,
    "wsgi.run_once": False,
    "wsgi.file_wrapper": FileAnswer,
}


def environ_of(scope: Scope, body: bytes) -> dict[str, Any]:
    server, _, port = scope.server.rpartition(":")
    return SAME_FOR_ALL | {
        "REQUEST_METHOD": scope.method,
        "PATH_INFO": scope.path.encode().decode("latin-1"),
        "QUERY_STRING": scope.query_string,
        "SERVER_PROTOCOL": f"HTTP/{scope.http_version}",
        "SERVER_NAME": server,
        "SERVER_PORT": port,
        "REMOTE_ADDR": scope.client.rpartition(":")[0],
        "wsgi.url_scheme": scope.scheme,
        "wsgi.input": io.BytesIO(body),
        **headers_of(scope),
    }


def headers_of(scope: Scope) -> dict[str, str]:
    """Headers sent more than once are joined (RFC 9110, section 5.3; cookies: RFC 6265, section 5.4).

    A name with an underscore is left out: X_Forwarded_Proto would become the same key as the X-Forwarded-Proto that
    only a proxy of the school's own may set.
    """
    headers: dict[str, str] = {}
    for name, value in scope.headers.items():
        if "_" in name:
            continue
        key = name.upper().replace("-", "_")
        key = key if key in ("CONTENT_TYPE", "CONTENT_LENGTH") else f"HTTP_{key}"
        joint = "; " if key == "HTTP_COOKIE" else ","
        headers[key] = f"{headers[key]}{joint}{value}" if key in headers else value
    return headers
