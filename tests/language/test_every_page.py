"""Every page in en-XA: what is not accented was typed by people, or was never handed to a translator."""

import pytest
import time_machine
from django.conf import settings
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import translation

from tests.cast import Cast
from tests.factories.machines import NOON
from tests.language.shown import English
from tests.matrix import ANONYMOUS, Door
from tests.pages.plain_pages import each_print_made_once
from tests.test_matrix import TABLES, session_of, sign_in


@pytest.mark.parametrize("table", TABLES, ids=["school", "quizzes", "machines", "floor"])
def test_no_page_leaves_a_sentence_in_english(table: dict[str, Door | list[Door]], cast: Cast) -> None:
    reader, left = English(), dict[str, str]()
    with translation.override("en-xa"), time_machine.travel(NOON), each_print_made_once():
        sign_in(cast)
        for name, doors in table.items():
            for door in doors if isinstance(doors, list) else [doors]:
                if door.method == "get":
                    undo_to = transaction.savepoint_create()
                    left |= dict.fromkeys(reader.left_on(page_of(name, door, cast)), name)
                    transaction.savepoint_rollback(undo_to)
    assert not left, "\n".join(f"{name}: {text}" for text, name in left.items())


def page_of(name: str, door: Door, cast: Cast) -> str:
    """The page as the first who may open it sees it; nothing for a file. Whatever it wrote is undone."""
    client, role = Client(), door.opens_for[0]
    if role != ANONYMOUS:
        client.cookies[settings.SESSION_COOKIE_NAME] = session_of(role)
    response = client.get(reverse(name, kwargs=door.of(cast)), door.sends(cast))
    is_page = isinstance(response, HttpResponse) and response.headers.get("Content-Type", "").startswith("text/html")
    return response.content.decode() if is_page else ""
