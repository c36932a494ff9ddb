"""Accepting: a teacher of a shop reads the rules of an edition. Until then, and after taking it back: practice only."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.http import Http404

from quizzes.attempts.acts import hand_in, start_attempt
from quizzes.banks.editions.acts import accept_bank, take_back_acceptance
from quizzes.banks.editions.approved import practice_only
from quizzes.models import Acceptance, Bank
from quizzes.relearning.queries import attempted, bench, passes
from quizzes.relearning.rules.next_attempt import StepCode
from shopsafe.logbook.models import Body, Listing
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import (
    AT,
    DAY,
    MINUTE,
    answer_all,
    bank_text,
    change,
    learn,
    make_bank,
    publish,
    published,
    take,
)
from tests.factories.people import TeacherFactory


@pytest.fixture
def bank(cast: Cast) -> Bank:
    """Out, and practice only."""
    return published(cast.teacher, accept=False)


def accept(bank: Bank, by: Person, **more: Any) -> Acceptance:
    return accept_bank(**{"by": by, "bank": bank.pk, "edition": 1, "at": AT + DAY, **more})


def step_of(student: Person, bank: Bank, at: Any = AT + DAY) -> Any:
    (step,) = [bank_step.step for bank_step in bench(student, at) if bank_step.bank == bank.pk]
    return step


def code_of(act: Any, **fields: Any) -> str:
    with pytest.raises(Refused) as caught:
        act(**fields)
    return caught.value.code


def test_the_logbook_says_who_accepted_which_edition_with_its_digest(cast: Cast, bank: Bank) -> None:
    acceptance = accept(bank, cast.colleague)
    assert (acceptance.by, acceptance.at) == (cast.colleague, AT + DAY)
    entry = Listing.objects.get(kind="bank.accepted").entry
    payload = bytes(Body.objects.get(entry=entry).payload).decode()
    assert bank.editions.get().digest in payload
    assert cast.colleague.name in payload


def test_second_approval_changes_nothing(cast: Cast, bank: Bank) -> None:
    assert accept(bank, cast.teacher) == accept(bank, cast.colleague, at=AT + 2 * DAY)
    assert Listing.objects.filter(kind="bank.accepted").count() == 1


def test_an_attempt_before_it_is_practice_and_never_becomes_a_pass(cast: Cast, bank: Bank) -> None:
    done = take(cast.student, bank)
    assert (done.practice, done.perfect) == (True, True)
    assert Listing.objects.get(entry=done.entry).kind == "attempt.practiced"
    assert (step_of(cast.student, bank).code, step_of(cast.student, bank).practice) == (StepCode.NOT_STARTED, True)
    accept(bank, cast.teacher)
    assert passes([cast.student.pk], AT + 9 * DAY) == []
    assert attempted([cast.student.pk], AT + 9 * DAY) == ([], set())
    assert (step_of(cast.student, bank).code, step_of(cast.student, bank).practice) == (StepCode.NOT_STARTED, False)


def test_attempt_stays_practice_when_rules_are_approved_later(cast: Cast, bank: Bank) -> None:
    begun = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    accept(bank, cast.teacher, at=AT + MINUTE)
    step = step_of(cast.student, bank, AT + 2 * MINUTE)
    assert (step.code, step.practice, step.attempt) == (StepCode.OPEN, True, begun.pk)
    answer_all(begun, AT + 3 * MINUTE)
    hand_in(student=cast.student, attempt=begun.pk, at=AT + 4 * MINUTE)
    assert passes([cast.student.pk], AT + DAY) == []
    assert not take(cast.student, bank, AT + 5 * MINUTE).practice
    assert step_of(cast.student, bank).code == StepCode.PASSED


def test_missed_practice_does_not_block_a_quiz_that_counts(cast: Cast, bank: Bank) -> None:
    for hour in (15, 16, 17):  # three misses on a day: for real the teacher would have to release the student
        learn(take(cast.student, bank, AT.replace(hour=hour), wrong=["r1"]), AT.replace(hour=hour, minute=20))
    step = step_of(cast.student, bank, AT.replace(hour=18))
    assert (step.code, step.teacher, step.practice) == (StepCode.AGAIN, False, True)
    take(cast.student, bank, AT.replace(hour=18), wrong=["r1"])
    accept(bank, cast.teacher, at=AT.replace(hour=19))
    assert step_of(cast.student, bank).code == StepCode.NOT_STARTED


def test_withdrawn_approval_stops_passes_until_a_new_approval(cast: Cast, bank: Bank) -> None:
    accept(bank, cast.teacher, at=AT)
    take(cast.student, bank, AT + MINUTE)
    back = take_back_acceptance(by=cast.colleague, bank=bank.pk, reason="Gap is not ours.", at=AT + DAY)
    assert (back.taken_back_by, back.taken_back_reason) == (cast.colleague, "Gap is not ours.")
    assert Listing.objects.filter(kind="bank.acceptance_taken_back").count() == 1
    (quiz_pass,) = passes([cast.student.pk], AT + 2 * DAY)
    assert quiz_pass.counts_until == AT + DAY
    (before,) = passes([cast.student.pk], AT + DAY / 2)
    assert before.counts_until is None, "as of a moment before, it is not known"
    assert take(cast.classmate, bank, AT + 2 * DAY).practice
    accept(bank, cast.teacher, at=AT + 3 * DAY)
    assert [quiz_pass.counts_until for quiz_pass in passes([cast.student.pk], AT + 4 * DAY)] == [None]
    assert passes([cast.classmate.pk], AT + 4 * DAY) == []


def test_it_is_asked_for_as_of_a_moment(cast: Cast, bank: Bank) -> None:
    accept(bank, cast.teacher, at=AT)
    take_back_acceptance(by=cast.teacher, bank=bank.pk, reason="Gap is not ours.", at=AT + DAY)
    asked = [practice_only(cast.school.pk, at) for at in (AT - MINUTE, AT, AT + DAY - MINUTE, AT + DAY)]
    assert asked == [{bank.pk}, set(), set(), {bank.pk}]


def test_a_new_edition_is_accepted_for_itself(cast: Cast, bank: Bank) -> None:
    accept(bank, cast.teacher, at=AT)
    take(cast.student, bank, AT + MINUTE)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, AT + DAY, accept=False)
    assert practice_only(cast.school.pk, AT + DAY) == {bank.pk}
    assert step_of(cast.student, bank, AT + 2 * DAY).code == StepCode.PASSED, (
        "the pass on the accepted edition still counts"
    )
    assert take(cast.classmate, bank, AT + 2 * DAY).practice
    assert code_of(accept, bank=bank, by=cast.teacher) == "accept.newer"
    accept(bank, cast.teacher, edition=2, at=AT + 3 * DAY)
    assert not take(cast.classmate, bank, AT + 4 * DAY).practice


def test_publishing_accepts_in_one_step_where_the_teacher_says_so(cast: Cast) -> None:
    edition = publish(make_bank(cast.school), cast.teacher, AT)
    assert [(acceptance.by, acceptance.at) for acceptance in edition.acceptances.all()] == [(cast.teacher, AT)]


def test_it_is_taken_back_with_a_reason_and_only_where_it_stands(cast: Cast, bank: Bank) -> None:
    back = {"by": cast.teacher, "bank": bank.pk, "at": AT + DAY}
    assert code_of(take_back_acceptance, reason="Gap is not ours.", **back) == "accept.not-accepted"
    accept(bank, cast.teacher, at=AT)
    assert code_of(take_back_acceptance, reason="  ", **back) == "accept.reason"


def test_refuses_everyone_but_teachers_of_a_shop_of_the_school(cast: Cast, bank: Bank) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(accept, bank=bank, by=person) == "access.not-yours"
        fields = {"by": person, "bank": bank.pk, "reason": "x", "at": AT}
        assert code_of(take_back_acceptance, **fields) == "access.not-yours"
    no_shop = TeacherFactory(school=cast.school)
    assert code_of(accept, bank=bank, by=no_shop) == "accept.no-shop"
    assert code_of(publish, bank=bank, by=no_shop) == "accept.no-shop"
    with pytest.raises(Http404):
        accept(bank, cast.stranger_teacher)
    with pytest.raises(Http404):
        accept(make_bank(cast.school, bank_text(code="other")), cast.teacher)
    assert not Acceptance.objects.exists()


def test_the_database_keeps_one_standing_acceptance_and_a_reason(cast: Cast, bank: Bank) -> None:
    acceptance = accept(bank, cast.teacher, at=AT)
    with pytest.raises(IntegrityError), transaction.atomic():
        Acceptance.objects.create(school=cast.school, edition=acceptance.edition, by=cast.colleague, at=AT)
    acceptance.taken_back_at, acceptance.taken_back_by = AT + DAY, cast.teacher
    with pytest.raises(IntegrityError), transaction.atomic():
        acceptance.save(update_fields=["taken_back_at", "taken_back_by"])
