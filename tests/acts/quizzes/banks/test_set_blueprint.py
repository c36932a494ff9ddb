"""Setting the blueprint: it goes into the draft and into the logbook, and holds from the next edition on."""

from typing import Any

import pytest
from django.http import Http404

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.drafts.acts import set_blueprint
from quizzes.banks.editions.texts import text_of
from quizzes.facts import Blueprint
from quizzes.logbook_words import WORDS
from quizzes.models import Bank, Edition
from shopsafe.logbook.models import Listing
from tests.acts.reading import code_of, last_entry
from tests.cast import Cast
from tests.factories.banks import AT, published

NEW = Blueprint(ask=2, wait_minutes=1, misses_a_day=3)


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher)


def set_it(bank: Bank, by: Any, **more: Any) -> Bank:
    fields: dict[str, Any] = {"revision": 1, "blueprint": NEW, "must": ["r1", "r2"], "at": AT}
    return set_blueprint(by=by, bank=bank.pk, **(fields | more))


def test_the_draft_asks_so_many_and_the_edition_stays(cast: Cast, bank: Bank) -> None:
    set_it(bank, cast.teacher)
    bank.refresh_from_db()
    text = draft_of(bank).bank
    assert (text.blueprint, [rule.code for rule in text.rules if rule.must_ask]) == (NEW, ["r1", "r2"])
    assert text_of(Edition.objects.get()).bank.blueprint == Blueprint(ask=3)
    assert bank.draft_revision == 2


def test_the_logbook_says_what_was_set_and_what_stood_before(cast: Cast, bank: Bank) -> None:
    set_it(bank, cast.teacher)
    kind, payload = last_entry()
    assert kind == "blueprint.set"
    assert payload["blueprint"] == {"ask": 2, "wait_minutes": 1, "misses_a_day": 3, "must_ask": ["r1", "r2"]}
    assert payload["before"] == {"ask": 3, "wait_minutes": 5, "misses_a_day": 2, "must_ask": ["r0"]}
    sentence = f"Band saw: 2 questions, 2 rules every time, 1 minute of waiting, 3 misses a day, by {cast.teacher.name}"
    assert WORDS[kind].says(payload) == sentence


def test_the_same_numbers_again_are_no_entry(cast: Cast, bank: Bank) -> None:
    count = Listing.objects.count()
    set_it(bank, cast.teacher, blueprint=Blueprint(ask=3), must=["r0"])
    assert Listing.objects.count() == count


def test_quiz_settings_refuse_a_stale_draft_and_invalid_numbers(cast: Cast, bank: Bank) -> None:
    assert code_of(set_it, bank, cast.teacher, revision=2) == "draft.changed"
    assert code_of(set_it, bank, cast.teacher, blueprint=Blueprint(ask=0)) == "draft.not-a-bank"


def test_refuses_everyone_but_teachers_of_the_school(cast: Cast, bank: Bank) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(set_it, bank, person) == "access.not-yours"
    with pytest.raises(Http404):
        set_it(bank, cast.stranger_teacher)
