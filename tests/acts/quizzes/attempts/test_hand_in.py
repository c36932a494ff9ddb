"""Handing in: all or nothing, once, with the whole attempt in the logbook."""

import json
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.http import Http404

from quizzes.attempts.acts import hand_in, save_answer, start_attempt, void_attempt
from quizzes.models import Attempt, Bank
from quizzes.questions.form_data import lines_of
from quizzes.relearning.queries import passes
from shopsafe.logbook.models import Body, Entry, Listing
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, answer_all, bank_text, kinds_text, published, take, wrong_for


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, kinds_text())


@pytest.fixture
def attempt(cast: Cast, bank: Bank) -> Attempt:
    return start_attempt(student=cast.student, bank=bank.pk, at=AT)


def payload_of(entry: Entry | None) -> dict:
    assert entry
    return json.loads(bytes(Body.objects.get(entry=entry).payload))


def test_every_answer_right_is_perfect(cast: Cast, bank: Bank, attempt: Attempt) -> None:
    answer_all(attempt, AT + MINUTE)
    done = hand_in(student=cast.student, attempt=attempt.pk, at=AT + 5 * MINUTE)
    stored = Attempt.objects.get()
    assert (done.perfect, stored.perfect, stored.correct, stored.missed_rules) == (True, True, 5, [])
    (quiz_pass,) = passes([cast.student.pk], AT + DAY)
    assert (quiz_pass.bank, quiz_pass.edition, quiz_pass.at, quiz_pass.counts_until) == (
        bank.pk,
        1,
        AT + 5 * MINUTE,
        None,
    )
    assert quiz_pass.entry == stored.entry_id


@pytest.mark.parametrize("number", range(1, 6))
def test_one_wrong_answer_is_not_perfect(cast: Cast, attempt: Attempt, number: int) -> None:
    answer_all(attempt, AT)
    line = lines_of(attempt.form)[number - 1]
    save_answer(student=cast.student, attempt=attempt.pk, number=number, sent=wrong_for(line), revision=1, at=AT)
    done = hand_in(student=cast.student, attempt=attempt.pk, at=AT + MINUTE)
    assert not Attempt.objects.get().perfect
    assert (done.correct, done.missed_rules, done.missed_questions) == (4, ["guard-low"], [line.code])
    assert passes([cast.student.pk], AT + DAY) == []


def test_the_logbook_keeps_the_attempt_as_it_was_shown(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    done = hand_in(student=cast.student, attempt=attempt.pk, at=AT + MINUTE)
    assert Listing.objects.get(entry=done.entry).kind == "attempt.passed"
    payload = payload_of(done.entry)
    assert payload["student"] == {"id": cast.student.pk, "name": cast.student.name}
    assert payload["edition_digest"] == done.edition.digest
    assert [question["code"] for question in payload["questions"]] == [line.code for line in lines_of(done.form)]
    order = next(question for question in payload["questions"] if question["kind"] == "order")
    assert order["answered"] == ["1. Glasses on", "2. Guard down", "3. Tell the teacher", "4. Switch on"]
    measure = next(question for question in payload["questions"] if question["kind"] == "measure")
    assert (measure["answered"], measure["unit"], measure["right"]) == (["1/8 in"], "in", True)


def test_a_miss_is_in_the_logbook_too(cast: Cast) -> None:
    done = take(cast.student, published(cast.teacher, bank_text()), wrong=["r1", "r2"])
    assert Listing.objects.get(entry=done.entry).kind == "attempt.missed"
    payload = payload_of(done.entry)
    assert [rule["code"] for rule in payload["missed_rules"]] == ["r1", "r2"]
    assert sum(not question["right"] for question in payload["questions"]) == 2


def test_second_hand_in_changes_nothing(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    first = hand_in(student=cast.student, attempt=attempt.pk, at=AT + MINUTE)
    entries = Entry.objects.count()
    again = hand_in(student=cast.student, attempt=attempt.pk, at=AT + DAY)
    assert (again.handed_in_at, again.entry_id) == (first.handed_in_at, first.entry_id)
    assert Entry.objects.count() == entries


def test_an_unanswered_question_is_named_and_nothing_is_graded(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    lines = lines_of(attempt.form)
    attempt.answers.filter(question__in=[lines[1].code, lines[3].code]).delete()
    with pytest.raises(Refused) as caught:
        hand_in(student=cast.student, attempt=attempt.pk, at=AT + MINUTE)
    assert (caught.value.code, caught.value.status) == ("hand-in.unanswered", 422)
    assert caught.value.sentence.startswith("Questions 2, 4 have no full answer yet.")
    assert Attempt.objects.get().is_open


def test_an_unreadable_number_counts_as_unanswered(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    number = next(n for n, line in enumerate(lines_of(attempt.form), 1) if line.kind == "measure")
    save_answer(student=cast.student, attempt=attempt.pk, number=number, sent={"answer": ["some"]}, revision=1, at=AT)
    with pytest.raises(Refused, match=f"Question {number} has no full answer yet"):
        hand_in(student=cast.student, attempt=attempt.pk, at=AT + MINUTE)


def test_a_voided_attempt_can_not_be_handed_in(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="Wrong class.", at=AT)
    with pytest.raises(Refused) as caught:
        hand_in(student=cast.student, attempt=attempt.pk, at=AT + MINUTE)
    assert caught.value.code == "hand-in.voided"


def test_refuses_everyone_but_the_student_whose_attempt_it_is(cast: Cast, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    for person in (cast.classmate, cast.stranger_student):
        with pytest.raises(Http404):
            hand_in(student=person, attempt=attempt.pk, at=AT)
    for person in (cast.teacher, cast.colleague, cast.office, cast.substitute, cast.stranger_teacher):
        with pytest.raises(Refused) as caught:
            hand_in(student=person, attempt=attempt.pk, at=AT)
        assert caught.value.status == 403
    with pytest.raises(Http404):
        hand_in(student=cast.student, attempt=uuid4(), at=AT)
    assert Attempt.objects.get().is_open


@pytest.mark.parametrize(
    "change",
    [{"correct": 5}, {"handed_in_at": AT}, {"handed_in_at": AT, "correct": 6}, {"asked": 0}, {"voided_at": AT}],
)
def test_the_database_refuses_what_can_not_be(attempt: Attempt, change: dict) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Attempt.objects.filter(pk=attempt.pk).update(**change)


def test_perfect_can_not_be_set(attempt: Attempt) -> None:
    attempt.perfect = True
    attempt.save()
    assert not Attempt.objects.get().perfect
