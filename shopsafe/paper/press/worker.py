"""What runs in the press: HTML to tagged PDF, with one fetcher, one font configuration and one parsed stylesheet.

A sheet that stands alone takes some 50 ms. Nothing here opens the database.
"""

import atexit
import logging
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings

from shopsafe.language.messages import _, marked
from shopsafe.paper.rules.mirroring import mirrored

STATIC = Path(settings.BASE_DIR) / "static"
STYLESHEET = STATIC / "css" / "print" / "print.css"
BASE = STATIC / "css" / "print" / "base.css"

IMPORT = re.compile(r'@import url\("([\w-]+\.css)"\);')
FROM_THE_RIGHT = 'dir="rtl"'  # as templates/paper/sheet.html says it
RIGHT_TO_LEFT = "html { direction: rtl }\n"

log = logging.getLogger("shopsafe.paper")


NOT_WHOLE = marked("This print could not be made whole, so it was not made. The server's log says why.")


class PrintFailed(Exception):
    """A print that could not be made whole. `sentence` is for the page; what went wrong inside is for the log alone."""

    def __init__(
        self,
        code: str = "print.not-whole",
        sentence: str = "",
        status: int = 503,
    ) -> None:
        super().__init__(sentence or NOT_WHOLE)
        self.code = code
        self.sentence = sentence or _(NOT_WHOLE)
        self.status = status


@dataclass(frozen=True)
class Attachment:
    """A file to carry inside the PDF: what it was made from. Only pdf/a-3 allows one."""

    name: str
    body: bytes
    about: str
    at: datetime


type Carried = Attachment | Sequence[Attachment] | None


def attachments(inside: Carried) -> list[Attachment]:
    """None, one or several, as a list."""
    if inside is None:
        return []
    return [inside] if isinstance(inside, Attachment) else list(inside)


@cache
def _workshop() -> tuple[Any, Any, Any, Any]:
    """Fetcher, font configuration, what gives the style sheet, and what makes a sheet of an HTML. WeasyPrint takes a
    second to import: only who prints pays."""
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    from shopsafe.paper.press.fetch import OwnFilesOnly

    atexit.register(_workshop.cache_clear)  # its folder of fonts is removed while Python can still do so
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    fetcher, fonts = OwnFilesOnly(), FontConfiguration()
    base = CSS(url=BASE.as_uri(), url_fetcher=fetcher, font_config=fonts)

    class PrintHTML(HTML):
        """A sheet on our own base. WeasyPrint's knows every element and script, and costs a fifth of a card's time."""

        def _ua_stylesheets(self, forms: bool = False) -> list[Any]:
            return [base]

    @cache
    def stylesheet(from_the_right: bool) -> Any:
        if not from_the_right:
            return CSS(url=STYLESHEET.as_uri(), url_fetcher=fetcher, font_config=fonts)
        text = mirrored(whole(STYLESHEET)) + RIGHT_TO_LEFT  # at the end: what is imported comes first
        return CSS(string=text, base_url=STYLESHEET.as_uri(), url_fetcher=fetcher, font_config=fonts)

    return fetcher, fonts, stylesheet, PrintHTML


def whole(file: Path) -> str:
    """A style sheet with those that it takes from its own folder in their places."""
    return IMPORT.sub(lambda match: whole(file.parent / match[1]), file.read_text(encoding="utf-8"))


def to_pdf(htmls: Sequence[str], variant: str | None, inside: Carried = None) -> bytes:
    """The HTMLs, one after the other, as one PDF with the title of the first. Not for two threads at once."""
    from weasyprint.urls import FatalURLFetchingError

    fetcher, fonts, stylesheet, sheet = _workshop()
    fetcher.refused.clear()
    try:
        pdf = _pdf(htmls, variant, inside, fetcher=fetcher, fonts=fonts, stylesheet=stylesheet, sheet=sheet)
    except FatalURLFetchingError as refused:  # a BaseException, so that nothing passes over it by accident
        log.error("%s", refused)
        raise PrintFailed() from refused
    if fetcher.refused:
        log.error("Not printed: %s is not a file of this program", fetcher.refused[0])
        raise PrintFailed()
    return pdf


def _pdf(
    htmls: Sequence[str],
    variant: str | None,
    inside: Carried,
    *,
    fetcher: Any,
    fonts: Any,
    stylesheet: Any,
    sheet: Any,
) -> bytes:
    """Sheets are joined while they are still drawings: joining finished files would drop their tags."""
    options: dict[str, Any] = {"pdf_variant": variant, "pdf_tags": True}
    options["attachments"] = [_carried(attached, fetcher) for attached in attachments(inside)] or None
    documents = [
        sheet(string=html, base_url=f"{STATIC.as_uri()}/", url_fetcher=fetcher).render(
            font_config=fonts, stylesheets=[stylesheet(FROM_THE_RIGHT in html[:200])], **options
        )
        for html in htmls
    ]
    first, *others = documents
    whole = first.copy([page for document in documents for page in document.pages]) if others else first
    pdf: bytes = whole.write_pdf(**options)
    return pdf


def _carried(inside: Attachment, fetcher: Any) -> Any:
    """The attachment as WeasyPrint takes it: the data that the page shows."""
    from weasyprint import Attachment as WeasyAttachment

    return WeasyAttachment(
        string=inside.body,
        url_fetcher=fetcher,
        name=inside.name,
        description=inside.about,
        created=inside.at,
        modified=inside.at,
        relationship="Data",
    )
