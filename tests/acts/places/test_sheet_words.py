"""set_words: a shop words its safety agreement or its substitute sheet again."""

from typing import Any

import pytest

from shopsafe.logbook.models import Entry
from shopsafe.school.models import SheetWords
from shopsafe.school.sheet_words.acts import set_words
from shopsafe.school.sheet_words.queries import words_of
from tests.acts.reading import code_of, last_entry
from tests.cast import Cast
from tests.factories.machines import NOON

WORDS = {"runs": False, "call": ["Office: 204"], "notes": []}


def said(cast: Cast, **changes: Any) -> dict[str, Any]:
    asked = {"shop": cast.shop, "sheet": "substitute", "words": WORDS, "instead_of": 0, "by": cast.teacher, "at": NOON}
    return asked | changes


def test_the_latest_words_are_the_shop_s_and_are_in_the_logbook(cast: Cast) -> None:
    first = set_words(**said(cast))
    second = set_words(**said(cast, words=WORDS | {"runs": True}, instead_of=first.pk, by=cast.office))
    assert words_of(cast.shop, "substitute") == second
    assert words_of(cast.shop, "agreement") is None
    kind, payload = last_entry()
    assert (kind, payload["sheet"], payload["by"]["id"]) == ("words.set", "Substitute sheet", cast.office.pk)
    assert payload["words"] == WORDS | {"runs": True}
    assert SheetWords.objects.count() == 2


def test_the_same_words_again_are_no_change(cast: Cast) -> None:
    first, entries = set_words(**said(cast)), Entry.objects.count()
    assert set_words(**said(cast)) == first
    assert Entry.objects.count() == entries


def test_no_one_writes_over_another(cast: Cast) -> None:
    set_words(**said(cast))
    assert code_of(set_words, **said(cast, words=WORDS | {"runs": True}, by=cast.colleague)) == "words.changed"


def test_refuses_everyone_else(cast: Cast) -> None:
    for person in cast.not_teachers:
        if person != cast.office:
            assert code_of(set_words, **said(cast, by=person)) == "access.not-yours", person
    assert not SheetWords.objects.exists()


@pytest.mark.parametrize("sheet", ["wall card", ""])
def test_the_database_knows_two_sheets(cast: Cast, sheet: str) -> None:
    from django.db import IntegrityError

    with pytest.raises(IntegrityError):
        set_words(**said(cast, sheet=sheet))
