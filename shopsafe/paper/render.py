"""HTML to PDF: one fetcher, one font configuration and one parsed stylesheet for all prints of a process.

A card takes some 50 ms, a chart some 200 ms, so both may be rendered in a request. What has more than about a hundred
pages belongs in the background worker, which bounds time and memory. Nothing here opens the database: callers load
first and render after.
"""

import atexit
import logging
import threading
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

STATIC = Path(settings.BASE_DIR) / "static"
STYLESHEET = STATIC / "css" / "print.css"
HANDOUT = "pdf/ua-1"

# Pango's font map and WeasyPrint's caches are shared; two threads gain nothing, so they take turns.
_one_at_a_time = threading.Lock()


class PrintFailed(Exception):
    """A print that could not be made whole. Its message is for the log, not for the page."""


@cache
def _workshop() -> tuple[Any, Any, Any]:
    """Fetcher, font configuration and stylesheet. WeasyPrint takes a second to import: only who prints pays."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    from shopsafe.paper.fetch import OwnFilesOnly

    atexit.register(_workshop.cache_clear)  # its folder of fonts is removed while Python can still do so
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    fetcher, fonts = OwnFilesOnly(), FontConfiguration()
    return fetcher, fonts, CSS(url=STYLESHEET.as_uri(), url_fetcher=fetcher, font_config=fonts)


@dataclass(frozen=True)
class Attachment:
    """A file to carry inside the PDF: what it was made from. Only pdf/a-3 allows one."""

    name: str
    body: bytes
    about: str
    at: datetime


def render_pdf(
    template: str,
    context: dict[str, Any],
    *,
    title: str,
    variant: str | None = HANDOUT,
    lang: str = "en",
    inside: Attachment | None = None,
) -> bytes:
    """The template as a tagged PDF with this title and language. The same input gives the same bytes."""
    html = render_to_string(template, {**context, "title": title, "lang": lang})
    with _one_at_a_time:
        return to_pdf(html, variant, inside)


def to_pdf(html: str, variant: str | None, inside: Attachment | None = None) -> bytes:
    """The HTML as PDF; the caller holds the lock."""
    from weasyprint import HTML
    from weasyprint.urls import FatalURLFetchingError

    fetcher, fonts, stylesheet = _workshop()
    fetcher.refused.clear()
    try:
        document = HTML(string=html, base_url=f"{STATIC.as_uri()}/", url_fetcher=fetcher)
        carried = [carry(inside, fetcher)] if inside else None
        pdf: bytes = document.write_pdf(
            font_config=fonts, stylesheets=[stylesheet], pdf_variant=variant, attachments=carried
        )
    except FatalURLFetchingError as refused:  # a BaseException, so that nothing passes over it by accident
        raise PrintFailed(str(refused)) from refused
    if fetcher.refused:
        raise PrintFailed(f"Not printed: {fetcher.refused[0]} is none of our own files")
    return pdf


def carry(inside: Attachment, fetcher: Any) -> Any:
    """The attachment as WeasyPrint takes it: the data that the page shows."""
    from weasyprint import Attachment as Carried

    return Carried(
        string=inside.body,
        url_fetcher=fetcher,
        name=inside.name,
        description=inside.about,
        created=inside.at,
        modified=inside.at,
        relationship="Data",
    )
