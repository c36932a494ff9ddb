"""What a print may load: our own static files and `data:` pictures. Anything else stops the print."""

import base64
from pathlib import Path
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

from django.conf import settings
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

STATIC = (Path(settings.BASE_DIR) / "static").resolve()
KINDS = {
    ".css": "text/css",
    ".ttf": "font/ttf",
    ".svg": "image/svg+xml",
    ".png": "image/png",
}
DATA_KINDS = ("data:image/png;base64,", "data:image/jpeg;base64,", "data:image/webp;base64,", "data:image/svg+xml")
MOST_DATA = 4_000_000  # characters of one data: address; a page-wide photograph at print resolution


class OwnFilesOnly(URLFetcher):
    """Fails closed: what is not on the list is not fetched and the print stops, so that no sheet is posted with a hole.

    The base class would open network and file handlers; none is built here. `refused` keeps what was turned away, since
    WeasyPrint passes over errors inside an SVG drawing: the caller looks there at the end.
    """

    def __init__(self) -> None:
        self._fail_on_errors = True  # read by WeasyPrint: an error of ours is never passed over
        self.refused: list[str] = []

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        """The file behind `url`; raises FatalURLFetchingError for anything that is not ours."""
        if url[:5].lower() == "data:":
            kind, body = own_data(url)
        elif path := own_file(url):
            kind, body = KINDS[path.suffix.lower()], path.read_bytes()
        else:
            kind = ""
        if not kind:
            self.refused.append(url[:200])
            raise FatalURLFetchingError(f"Not printed: {url[:200]} is not a file of this program")
        return URLFetcherResponse(url, body, {"Content-Type": kind})


def own_data(url: str) -> tuple[str, bytes]:
    """Kind and content of a data: picture; no kind for any other."""
    if len(url) > MOST_DATA or not url.startswith(DATA_KINDS):
        return "", b""
    kind, _, body = url.removeprefix("data:").partition(",")
    if kind.endswith(";base64"):
        return kind.removesuffix(";base64"), base64.b64decode(body)
    return kind, unquote(body).encode()


def own_file(url: str) -> Path | None:
    """The static file a file: address names, links followed; None if it is none."""
    parts = urlsplit(url)
    if parts.scheme == "file" and parts.netloc in ("", "localhost"):
        path = Path(url2pathname(parts.path)).resolve()
        if path.is_relative_to(STATIC) and path.suffix.lower() in KINDS and path.is_file():
            return path
    return None
