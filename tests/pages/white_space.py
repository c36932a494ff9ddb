"""HTML with the white space that a browser shows: runs of it as one space, and none beside block-level tags."""

import re
from typing import Any

from django.http import HttpResponse
from django.test import Client

BLOCK = (
    "address article aside blockquote body caption col colgroup dd details div dl dt fieldset figcaption figure footer "
    "form h1 h2 h3 h4 h5 h6 head header hr html legend li link main meta nav ol optgroup option p section select "
    "summary table tbody td tfoot th thead title tr ul"
).replace(" ", "|")
BESIDE_BLOCK = re.compile(rf"\s*(</?(?:{BLOCK})\b(?:\"[^\"]*\"|'[^']*'|[^>\"'])*>)\s*")
AS_TYPED = re.compile(r"(<(?:textarea|pre|script)\b.*?</(?:textarea|pre|script)>)", re.DOTALL)


def as_shown(html: str) -> str:
    """Return `html` without the white space that lays out its source. What is in a text box stays as typed."""
    parts = AS_TYPED.split(html)
    return "".join(
        part if number % 2 else BESIDE_BLOCK.sub(r"\1", re.sub(r"\s+", " ", part)) for number, part in enumerate(parts)
    )


def show_pages_as_a_browser(client: type[Client], patch: Any) -> None:
    """Let every HTML page that this test's clients get read as a browser shows it, so that a test of what a page says
    does not depend on where its template breaks a line."""
    real = client.request

    def request(self: Client, **more: Any) -> Any:
        response = real(self, **more)
        if isinstance(response, HttpResponse) and response.headers.get("Content-Type", "").startswith("text/html"):
            response.content = as_shown(response.content.decode())
        return response

    patch.setattr(client, "request", request)
