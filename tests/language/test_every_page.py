"""Every page and sheet in en-XA: what has no accents was typed by people, or was never handed to a translator."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import translation

from machines.prints.room.offers import ALL, OFFERS
from shopsafe.paper.press import render
from shopsafe.paper.press.worker import Carried
from tests.cast import Cast
from tests.factories.machines import NOON
from tests.language.shown import English
from tests.matrix import ANONYMOUS, Door
from tests.pages.plain_pages import each_print_made_once
from tests.test_matrix import TABLES, session_of, sign_in


@pytest.mark.parametrize("table", TABLES, ids=["school", "quizzes", "machines", "floor"])
def test_no_page_leaves_a_sentence_in_english(
    table: dict[str, Door | list[Door]], cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    reader, left, sheets = English(), dict[str, str](), list[str]()
    with translation.override("en-xa"), time_machine.travel(NOON), each_print_made_once():
        monkeypatch.setattr(render, "to_pdf", noting(sheets, render.to_pdf))
        sign_in(cast)
        for name, doors in table.items():
            for door in doors if isinstance(doors, list) else [doors]:
                if door.method == "get":
                    undo_to = transaction.savepoint_create()
                    for parts, query in asked_for(name, door, cast):
                        page = page_of(reverse(name, kwargs=parts), query, door.opens_for[0])
                        for html in (page, *sheets):
                            left |= dict.fromkeys(reader.left_on(html), name)
                        sheets.clear()
                    transaction.savepoint_rollback(undo_to)
    assert not left, "\n".join(f"{name}: {text}" for text, name in left.items())


def noting(sheets: list[str], to_pdf: Callable[..., bytes]) -> Callable[..., bytes]:
    """Makes the sheets and keeps what they were made from."""

    def noted(htmls: Sequence[str], variant: str | None, inside: Carried = None) -> bytes:
        sheets.extend(htmls)
        return to_pdf(htmls, variant, inside)

    return noted


def asked_for(name: str, door: Door, cast: Cast) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """The parts of the address and the query; the Print page is asked for every sheet that it offers."""
    parts, query = door.of(cast), door.sends(cast)
    yield parts, query
    if name == "print-picture":
        yield from ((parts | {"what": what}, query) for what in OFFERS)
    if name == "prints":
        yield from ((parts, query | {"what": what}) for what in ALL)


def page_of(address: str, query: dict[str, Any], role: str) -> str:
    """The page as the first who may open it sees it; nothing for a file. Whatever it wrote is undone."""
    client = Client()
    if role != ANONYMOUS:
        client.cookies[settings.SESSION_COOKIE_NAME] = session_of(role)
    response = client.get(address, query)
    is_page = isinstance(response, HttpResponse) and response.headers.get("Content-Type", "").startswith("text/html")
    return response.content.decode() if is_page else ""
