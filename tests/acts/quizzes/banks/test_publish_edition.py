"""Publishing: the draft becomes a frozen edition, and says what of earlier passes."""

import json
from dataclasses import replace
from datetime import date, datetime
from hashlib import sha256
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import rfc8785
from django.db import IntegrityError, transaction
from django.http import Http404

from quizzes.attempts.queries import question_answers
from quizzes.banks.editions.acts import publish_edition
from quizzes.banks.editions.texts import text_of
from quizzes.models import Bank, Edition
from quizzes.relearning.queries import passes
from shopsafe.logbook.models import Listing
from shopsafe.school.refusals import Refused
from tests.acts.reading import entries
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, a_one
from tests.factories.banks import AT, DAY, bank_text, change, kinds_text, make_bank, publish, take


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return make_bank(cast.school)


def code_of(bank: Bank, by: Any, **more: Any) -> str:
    fields: dict[str, Any] = {"revision": bank.draft_revision, "earlier": "count", "at": AT}
    with pytest.raises(Refused) as caught:
        publish_edition(by=by, bank=bank.pk, **(fields | more))
    return caught.value.code


def test_an_edition_is_numbered_dated_and_digested(cast: Cast, bank: Bank) -> None:
    edition = publish(bank, cast.teacher, AT)
    assert (edition.number, edition.published_at, edition.published_by) == (1, AT, cast.teacher)
    stored = Edition.objects.get()
    assert stored.digest == sha256(stored.content.encode()).hexdigest()
    assert rfc8785.dumps(json.loads(stored.content)) == stored.content.encode()
    assert text_of(stored).bank == bank_text()
    assert list(Listing.objects.values_list("kind", flat=True)) == ["edition.published", "bank.accepted"]


def test_the_next_edition_is_the_next_number_and_the_last_one_stays(cast: Cast, bank: Bank) -> None:
    first = publish(bank, cast.teacher, AT)
    change(bank, bank_text(subject="Band saw, new"))
    second = publish(bank, cast.colleague, AT + DAY)
    assert (second.number, second.digest != first.digest) == (2, True)
    assert text_of(Edition.objects.get(number=1)).bank.subject == "Band saw"


@pytest.mark.parametrize(("earlier", "ends"), [("count", None), ("stop", AT + DAY)])
def test_earlier_passes_count_or_stop(cast: Cast, bank: Bank, earlier: str, ends: datetime | None) -> None:
    publish(bank, cast.teacher, AT - DAY)
    take(cast.student, bank)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, AT + DAY, earlier)
    (quiz_pass,) = passes([cast.student.pk], AT + 2 * DAY)
    assert quiz_pass.counts_until == ends
    (before,) = passes([cast.student.pk], AT + DAY / 2)
    assert before.counts_until is None, "as of a moment before, the new edition is not known"


def test_earlier_passes_count_until_the_end_of_a_day_at_the_school(cast: Cast, bank: Bank) -> None:
    publish(bank, cast.teacher, AT - DAY)
    take(cast.student, bank)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, AT + DAY, "until", until=date(2026, 11, 1))  # clocks change that night
    (quiz_pass,) = passes([cast.student.pk], AT + 2 * DAY)
    assert quiz_pass.counts_until == datetime(2026, 11, 2, tzinfo=ZoneInfo("America/Chicago"))


def test_draft_changed_by_a_colleague_is_not_published(cast: Cast, bank: Bank) -> None:
    assert code_of(bank, cast.teacher, revision=bank.draft_revision - 1) == "publish.changed"


def test_a_draft_with_an_error_is_not_published(cast: Cast) -> None:
    twice = a_one(wrong=("Just above the wood", "Up"))
    bank = make_bank(cast.school, a_bank(questions=(twice,), ask=1))
    assert code_of(bank, cast.teacher) == "publish.check"


def test_the_same_draft_is_not_published_twice(cast: Cast, bank: Bank) -> None:
    publish(bank, cast.teacher, AT)
    assert code_of(bank, cast.teacher) == "publish.same"


def test_simultaneous_second_publication_is_refused(cast: Cast, bank: Bank, monkeypatch: pytest.MonkeyPatch) -> None:
    publish(bank, cast.teacher, AT)
    change(bank, bank_text(subject="Band saw, new"))
    monkeypatch.setattr(
        "quizzes.banks.editions.acts._next", lambda bank, last, by, at: Edition(bank=bank, number=1, school_id=1)
    )
    assert code_of(bank, cast.colleague) == "publish.raced"


@pytest.mark.parametrize(
    ("earlier", "until", "code"),
    [
        ("maybe", None, "publish.earlier"),
        ("until", None, "publish.until"),
        ("until", date(2026, 9, 13), "publish.until"),
    ],
)
def test_invalid_choice_for_earlier_passes_is_refused(
    cast: Cast, bank: Bank, earlier: str, until: date | None, code: str
) -> None:
    assert code_of(bank, cast.teacher, earlier=earlier, until=until) == code


def test_refuses_everyone_but_teachers_of_the_school(cast: Cast, bank: Bank) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(bank, person) == "access.not-yours"
    with pytest.raises(Http404):
        publish(bank, cast.stranger_teacher, AT)
    assert not Edition.objects.exists()


@pytest.mark.parametrize("wrong", [{"number": 0}, {"earlier_passes_count": False, "earlier_passes_until": AT}])
def test_the_database_refuses_what_can_not_be(cast: Cast, bank: Bank, wrong: dict) -> None:
    edition = publish(bank, cast.teacher, AT)
    for name, value in wrong.items():
        setattr(edition, name, value)
    edition.pk = None
    edition.number = wrong.get("number", 2)
    with pytest.raises(IntegrityError), transaction.atomic():
        edition.save(force_insert=True)


def test_every_kind_survives_publishing(cast: Cast) -> None:
    bank = make_bank(cast.school, kinds_text())
    assert text_of(publish(bank, cast.teacher)).bank == kinds_text()


def test_the_evidence_keeps_the_text_of_the_edition_it_was_taken_on(cast: Cast, bank: Bank) -> None:
    publish(bank, cast.teacher, AT - DAY)
    taken = take(cast.student, bank)
    text = bank_text()
    new = tuple(replace(question, asks="Something else?") for question in text.questions)
    change(bank, replace(text, questions=new))
    publish(bank, cast.teacher, AT + DAY, "stop")
    (entry,) = entries("attempt.passed")
    assert "What does rule 0 say in case" in entry
    assert "Something else?" not in entry
    taken.refresh_from_db()
    assert all(sheet.asked.asks.startswith("What does rule") for sheet in question_answers(taken))


def test_a_picture_that_nothing_shows_does_not_travel(cast: Cast, bank: Bank) -> None:
    bank.draft_pictures = {"idle.svg": {"digest": "a" * 64, "kind": "svg", "width": 10, "height": 10}}
    bank.save(update_fields=["draft_pictures"])
    assert not text_of(publish(bank, cast.teacher)).pictures
