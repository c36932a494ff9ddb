"""A quiz on paper is an attempt like any other: one form, graded exactly, with who entered it in the record."""

import json

import pytest
from django.db import IntegrityError, transaction
from django.http import Http404

from quizzes.attempts.acts import (
    enter_answers,
    hand_in,
    hand_in_sheet,
    save_answer,
    start_attempt,
    start_on_paper,
    void_attempt,
)
from quizzes.models import Attempt, Bank
from quizzes.questions.answering import Sent
from quizzes.questions.form_data import lines_of
from quizzes.relearning.queries import passes
from shopsafe.logbook.models import Body
from tests.acts.reading import code_of, entries, last_entry
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, answer_all, key_for, kinds_text, learn, published, take, wrong_for


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, kinds_text())


@pytest.fixture
def sheet(cast: Cast, bank: Bank) -> Attempt:
    return start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=AT)


def marks(sheet: Attempt, wrong: tuple[int, ...] = (), blank: tuple[int, ...] = ()) -> dict[int, Sent]:
    return {
        number: wrong_for(line) if number in wrong else key_for(line)
        for number, line in enumerate(lines_of(sheet.form), 1)
        if number not in blank
    }


def test_a_sheet_has_a_code_and_its_teacher(cast: Cast, sheet: Attempt) -> None:
    assert (sheet.is_open, sheet.on_paper, sheet.printed_by, sheet.entered_by) == (True, True, cast.teacher, None)
    kind, payload = last_entry()
    assert (kind, payload["on_paper"], payload["by"]["id"]) == ("attempt.printed", sheet.paper_code, cast.teacher.pk)


def test_second_paper_quiz_returns_the_first_sheet(cast: Cast, bank: Bank, sheet: Attempt) -> None:
    again = start_on_paper(student=cast.student, bank=bank.pk, by=cast.colleague, at=AT + DAY)
    assert again == sheet
    assert len(entries("attempt.printed")) == 1


def test_right_answers_entered_are_a_pass_with_who_entered_them(cast: Cast, bank: Bank, sheet: Attempt) -> None:
    enter_answers(by=cast.colleague, attempt=sheet.pk, sent=marks(sheet), at=AT + DAY)
    done = hand_in_sheet(by=cast.colleague, attempt=sheet.pk, at=AT + DAY)
    assert (done.correct, done.missed_rules, done.entered_by) == (5, [], cast.colleague)
    (quiz_pass,) = passes([cast.student.pk], AT + 2 * DAY)
    assert (quiz_pass.bank, quiz_pass.at) == (bank.pk, AT + DAY)
    payload = json.loads(bytes(Body.objects.get(entry=done.entry).payload))
    assert (payload["on_paper"], payload["by"]["id"]) == (sheet.paper_code, cast.colleague.pk)
    assert [question["right"] for question in payload["questions"]] == [True] * 5


@pytest.mark.parametrize("number", range(1, 6))
@pytest.mark.parametrize("how", ["wrong", "blank"])
def test_one_answer_wrong_or_blank_is_a_miss(cast: Cast, sheet: Attempt, number: int, how: str) -> None:
    enter_answers(by=cast.teacher, attempt=sheet.pk, sent=marks(sheet, **{how: (number,)}), at=AT)
    done = hand_in_sheet(by=cast.teacher, attempt=sheet.pk, at=AT)
    line = lines_of(sheet.form)[number - 1]
    assert (done.correct, done.missed_rules, done.missed_questions) == (4, ["guard-low"], [line.code])
    assert not Attempt.objects.get().perfect


def test_unreadable_answer_is_recorded_as_written_and_counts_as_wrong(cast: Cast, sheet: Attempt) -> None:
    number = next(n for n, line in enumerate(lines_of(sheet.form), 1) if line.kind == "measure")
    enter_answers(
        by=cast.teacher, attempt=sheet.pk, sent=marks(sheet) | {number: {"answer": ["a thumb's width"]}}, at=AT
    )
    done = hand_in_sheet(by=cast.teacher, attempt=sheet.pk, at=AT)
    assert done.correct == 4
    payload = json.loads(bytes(Body.objects.get(entry=done.entry).payload))
    assert payload["questions"][number - 1]["answered"] == ["a thumb's width"]


def test_entering_again_replaces_what_was_entered(cast: Cast, sheet: Attempt) -> None:
    enter_answers(by=cast.teacher, attempt=sheet.pk, sent=marks(sheet), at=AT)
    enter_answers(by=cast.teacher, attempt=sheet.pk, sent=marks(sheet, blank=(1, 2)), at=AT)
    assert sheet.answers.count() == 3
    assert hand_in_sheet(by=cast.teacher, attempt=sheet.pk, at=AT).correct == 3


def test_second_paper_hand_in_changes_nothing_and_entry_is_closed(cast: Cast, sheet: Attempt) -> None:
    enter_answers(by=cast.teacher, attempt=sheet.pk, sent=marks(sheet), at=AT)
    first = hand_in_sheet(by=cast.teacher, attempt=sheet.pk, at=AT)
    again = hand_in_sheet(by=cast.colleague, attempt=sheet.pk, at=AT + DAY)
    assert (again.handed_in_at, again.entered_by, again.entry_id) == (AT, cast.teacher, first.entry_id)
    assert code_of(enter_answers, by=cast.teacher, attempt=sheet.pk, sent={}, at=AT) == "answer.closed"


def test_after_a_miss_the_cards_the_wait_and_the_release_are_the_same(cast: Cast) -> None:
    bank = published(cast.teacher)
    for number in range(2):
        at = AT + number * 60 * MINUTE
        attempt = start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=at)
        wrong = tuple(n for n, line in enumerate(lines_of(attempt.form), 1) if line.rule == "r1")
        enter_answers(by=cast.teacher, attempt=attempt.pk, sent=marks(attempt, wrong=wrong), at=at)
        done = hand_in_sheet(by=cast.teacher, attempt=attempt.pk, at=at)
        again = {"student": cast.student, "bank": bank.pk, "by": cast.teacher, "at": at + MINUTE}
        assert code_of(start_on_paper, **again) == "paper.not-now"
        learn(done, at + MINUTE)
    assert code_of(start_attempt, student=cast.student, bank=bank.pk, at=AT + DAY) == "attempt.teacher"


def test_the_student_goes_on_with_the_sheet_and_not_on_a_screen(cast: Cast, bank: Bank, sheet: Attempt) -> None:
    mine = {"student": cast.student, "at": AT}
    line = lines_of(sheet.form)[0]
    answer = {"attempt": sheet.pk, "number": 1, "sent": key_for(line), "revision": 0}
    assert code_of(start_attempt, bank=bank.pk, **mine) == "attempt.on-paper"
    assert code_of(save_answer, **answer, **mine) == "attempt.on-paper"
    assert code_of(hand_in, attempt=sheet.pk, **mine) == "attempt.on-paper"
    assert not sheet.answers.exists()


def test_a_quiz_begun_on_a_screen_stays_there(cast: Cast, bank: Bank) -> None:
    on_screen = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    answer_all(on_screen, AT)
    arguments = {"by": cast.teacher, "at": AT}
    assert code_of(start_on_paper, student=cast.student, bank=bank.pk, **arguments) == "paper.on-screen"
    assert code_of(enter_answers, attempt=on_screen.pk, sent={}, **arguments) == "paper.on-screen"
    assert code_of(hand_in_sheet, attempt=on_screen.pk, **arguments) == "paper.on-screen"
    assert on_screen.answers.count() == 5


def test_paper_quiz_is_refused_when_student_has_passed(cast: Cast, bank: Bank) -> None:
    take(cast.student, bank)
    again = {"student": cast.student, "bank": bank.pk, "by": cast.teacher, "at": AT + DAY}
    assert code_of(start_on_paper, **again) == "paper.not-now"


def test_a_sheet_given_up_makes_room_for_another_form(cast: Cast, bank: Bank, sheet: Attempt) -> None:
    void_attempt(by=cast.teacher, attempt=sheet.pk, reason="The sheet got lost.", at=AT)
    assert code_of(hand_in_sheet, by=cast.teacher, attempt=sheet.pk, at=AT) == "hand-in.voided"
    again = start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=AT + MINUTE)
    assert again.paper_code != sheet.paper_code


def test_an_answer_that_is_not_on_the_sheet_is_refused_whole(cast: Cast, sheet: Attempt) -> None:
    enter_answers(by=cast.teacher, attempt=sheet.pk, sent=marks(sheet), at=AT)
    number = next(n for n, line in enumerate(lines_of(sheet.form), 1) if line.kind == "one")
    made_up = {number: {"answer": ["made-up"]}}
    assert code_of(enter_answers, by=cast.teacher, attempt=sheet.pk, sent=made_up, at=AT) == "answer.not-on-form"
    assert sheet.answers.count() == 5


def test_refuses_everyone_but_teachers_in_reach(cast: Cast, bank: Bank, sheet: Attempt) -> None:
    for person in cast.not_teachers:
        asked = {"student": cast.classmate, "bank": bank.pk, "by": person, "at": AT}
        assert code_of(start_on_paper, **asked) == "access.not-yours"
    for act in (lambda by: enter_answers(by=by, attempt=sheet.pk, sent={}, at=AT),):
        for person in (cast.student, cast.substitute, cast.office):
            assert code_of(act, person) == "access.not-yours"
            assert code_of(hand_in_sheet, by=person, attempt=sheet.pk, at=AT) == "access.not-yours"
        for person in (cast.other_teacher, cast.stranger_teacher):
            with pytest.raises(Http404):
                act(person)
            with pytest.raises(Http404):
                hand_in_sheet(by=person, attempt=sheet.pk, at=AT)
    assert Attempt.objects.get().is_open


@pytest.mark.parametrize("change", [{"printed_by": None}, {"handed_in_at": AT, "correct": 5}, {"paper_code": ""}])
def test_the_database_refuses_a_sheet_without_its_teacher(sheet: Attempt, change: dict[str, object]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Attempt.objects.filter(pk=sheet.pk).update(**change)
