"""Reviews: a teacher records who signed the print of an edition, and withdraws what was recorded by mistake."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.http import Http404

from quizzes.banks.editions.acts import record_review, withdraw_review
from quizzes.banks.editions.approved import practice_only
from quizzes.models import Bank, Review
from shopsafe.logbook.models import Body, Listing
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, DAY, bank_text, change, publish, published
from tests.factories.people import TeacherFactory


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, accept=False)


def record(bank: Bank, by: Person, **more: Any) -> Review:
    day = (AT + DAY).date()
    fields = {"name": " Ro Marsh ", "role": "Safety officer", "reviewed_on": day, "edition": 1, "at": AT + DAY}
    return record_review(**{"by": by, "bank": bank.pk, **fields, **more})


def code_of(act: Any, *args: Any, **fields: Any) -> str:
    with pytest.raises(Refused) as caught:
        act(*args, **fields)
    return caught.value.code


def test_a_review_is_kept_and_in_the_logbook_and_lets_no_one_do_anything(cast: Cast, bank: Bank) -> None:
    review = record(bank, cast.teacher)
    assert (review.name, review.role, review.by) == ("Ro Marsh", "Safety officer", cast.teacher)
    payload = bytes(Body.objects.get(entry=Listing.objects.get(kind="bank.reviewed").entry).payload).decode()
    assert "Ro Marsh" in payload
    assert bank.editions.get().digest in payload
    assert bank.pk in practice_only(cast.school.pk, AT + 2 * DAY)
    assert verify().says_wrong == ""


def test_second_recording_changes_nothing(cast: Cast, bank: Bank) -> None:
    assert record(bank, cast.teacher) == record(bank, cast.colleague, at=AT + 2 * DAY)
    assert Listing.objects.filter(kind="bank.reviewed").count() == 1


def test_a_withdrawn_review_stays_with_its_reason(cast: Cast, bank: Bank) -> None:
    review = record(bank, cast.teacher)
    gone = withdraw_review(by=cast.colleague, review=review.pk, reason=" Wrong bank. ", at=AT + 2 * DAY)
    assert (gone.withdrawn_by, gone.withdrawn_reason) == (cast.colleague, "Wrong bank.")
    assert code_of(withdraw_review, by=cast.teacher, review=review.pk, reason="Again") == "review.withdrawn"
    assert record(bank, cast.teacher, at=AT + 3 * DAY) != review
    assert verify().says_wrong == ""


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"name": " "}, "review.who"),
        ({"role": ""}, "review.who"),
        ({"reviewed_on": (AT + 2 * DAY).date()}, "review.day"),
        ({"reviewed_on": AT.date() - timedelta(days=9)}, "review.day"),
        ({"edition": 0}, "review.newer"),
    ],
)
def test_refuses_a_nameless_early_or_future_review(cast: Cast, bank: Bank, wrong: dict[str, Any], code: str) -> None:
    assert code_of(record, bank, cast.teacher, **wrong) == code
    assert not Review.objects.exists()


def test_refuses_to_withdraw_without_a_reason(cast: Cast, bank: Bank) -> None:
    review = record(bank, cast.teacher)
    assert code_of(withdraw_review, by=cast.teacher, review=review.pk, reason=" ") == "review.reason"


def test_a_review_belongs_to_the_edition_that_was_printed(cast: Cast, bank: Bank) -> None:
    change(bank, bank_text(ask=2))
    publish(bank, cast.teacher, AT + DAY)
    assert code_of(record, bank, cast.teacher, at=AT + 2 * DAY) == "review.newer"


def test_refuses_everyone_but_teachers_of_a_shop(cast: Cast, bank: Bank) -> None:
    review = record(bank, cast.teacher)
    refused: list[Person] = [cast.student, cast.substitute, cast.office, TeacherFactory(school=cast.school)]
    for person in refused:
        assert code_of(record, bank, person, name="Another") in ("access.not-yours", "accept.no-shop")
        assert code_of(withdraw_review, by=person, review=review.pk, reason="No") in (
            "access.not-yours",
            "accept.no-shop",
        )
    with pytest.raises(Http404):
        record(bank, cast.stranger_teacher, name="Another")
    with pytest.raises(Http404):
        withdraw_review(by=cast.stranger_teacher, review=review.pk, reason="No")


@pytest.mark.parametrize("wrong", [{"name": ""}, {"withdrawn_reason": "x"}])
def test_the_database_refuses_half_a_review(cast: Cast, bank: Bank, wrong: dict[str, Any]) -> None:
    fields = {"name": "Ro", "role": "Officer", "reviewed_on": AT.date(), "by": cast.teacher, "at": AT}
    with pytest.raises(IntegrityError), transaction.atomic():
        Review.objects.create(school=cast.school, edition=bank.editions.get(), **(fields | wrong))
