"""What the logbook says of every kind of entry, in en-XA: nothing but what the entry holds is left in plain letters."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.utils import translation

from shopsafe.logbook.sentences import sentence
from tests.language.shown import words_left
from tests.rules.logbook.test_words import ALL_CASES


@pytest.mark.parametrize(("kind", "payload", "said"), ALL_CASES, ids=[kind for kind, _payload, _said in ALL_CASES])
def test_no_word_of_an_entry_is_left_in_english(kind: str, payload: dict[str, Any], said: str) -> None:
    with translation.override("en-xa"):
        text = sentence(kind, payload)
    for held in sorted(_texts(payload), key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(held)}(?!\w)", " ", text, flags=re.IGNORECASE)
    assert words_left(text) == []


def _texts(value: object) -> Iterator[str]:
    """Every text that the entry holds, whole and without its last full stop."""
    if isinstance(value, dict):
        for part in value.values():
            yield from _texts(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, str) and value:
        yield value
        yield value.rstrip(".")
