"""Pages for tests that ask for them a thousand times and look at the status alone: drawing one takes the longest."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse, HttpResponseNotFound

from shopsafe import urls
from shopsafe.paper.press import render


@contextmanager
def refusals_without_pages() -> Iterator[None]:
    """A 404 is answered with nothing on it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(urls, "handler404", no_page, raising=False)
        yield


def no_page(request: HttpRequest, exception: Exception) -> HttpResponse:
    return HttpResponseNotFound()


@contextmanager
def each_print_made_once() -> Iterator[None]:
    """Sheets that are the same for two people, or with two queries, are the same file."""
    to_pdf, files = render.to_pdf, dict[Any, bytes]()

    def to_pdf_once(htmls: Sequence[str], variant: str | None, inside: Any = None) -> bytes:
        key = (*htmls, variant, repr(inside))
        if key not in files:
            files[key] = to_pdf(htmls, variant, inside)
        return files[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "to_pdf", to_pdf_once)
        yield
