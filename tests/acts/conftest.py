"""After every act's test: each entry that it appended has a plain sentence of its own."""

import json
from collections.abc import Iterator

import pytest
from django.db import connection

from shopsafe.logbook.models import Body
from shopsafe.logbook.sentences import KINDS
from tests.conftest import touches_database


@pytest.fixture(autouse=True)
def entries_speak(request: pytest.FixtureRequest) -> Iterator[None]:
    """The words of the kind are on this very payload: nothing is missing, no one is left unnamed.

    `sentences.sentence` would fall back to a list of names, which says less and hides a mistake.
    """
    if touches_database(request.node):
        request.getfixturevalue("db")  # so that this looks before the database is emptied
    yield
    if not touches_database(request.node) or connection.needs_rollback:
        return
    for kind, payload in Body.objects.order_by("pk").values_list("entry__listing__kind", "payload"):
        if kind not in KINDS:  # made up by a test: what the program appends has words, see test_every_kind
            continue
        text = KINDS[kind].says(json.loads(bytes(payload)))
        assert text, kind
        assert "not named" not in text, (kind, text)
        assert "None" not in text, (kind, text)
