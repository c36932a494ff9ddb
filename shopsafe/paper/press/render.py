"""From a template to a PDF. Callers load first and render after: nothing here opens the database."""

import re
import threading
from collections.abc import Sequence
from functools import cache
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import get_language_bidi

from shopsafe.paper.press.process import Press
from shopsafe.paper.press.worker import Attachment, Carried, PrintFailed, to_pdf
from shopsafe.paper.rules.mirroring import mirrored

__all__ = ["Attachment", "PrintFailed", "as_html", "print_htmls", "render_pdf", "to_pdf"]

STYLE = re.compile(r"(<style>)(.*?)(?=</style>)", re.DOTALL)
HANDOUT = "pdf/ua-1"
_here = threading.Lock()


@cache
def press() -> Press:
    """The press of this process."""
    return Press(settings.PRINT_SECONDS, settings.PRINT_MEGABYTES)


def as_html(template: str, context: dict[str, Any], *, title: str) -> str:
    """The sheet as HTML, with its title."""
    html = render_to_string(template, {**context, "title": title})
    return STYLE.sub(lambda match: match[1] + mirrored(match[2]), html) if get_language_bidi() else html


def print_htmls(htmls: Sequence[str], *, variant: str | None = HANDOUT, inside: Carried = None) -> bytes:
    """Sheets as one tagged PDF. The same input gives the same bytes."""
    if settings.PRINT_APART:
        return press().make(htmls, variant, inside)
    with _here:
        return to_pdf(htmls, variant, inside)


def render_pdf(
    template: str,
    context: dict[str, Any],
    *,
    title: str,
    variant: str | None = HANDOUT,
    inside: Carried = None,
) -> bytes:
    """One template as a tagged PDF with this title."""
    return print_htmls([as_html(template, context, title=title)], variant=variant, inside=inside)
