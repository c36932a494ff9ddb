"""Starting an attempt: one open at a time, and only when nothing stands before it."""

import random
from functools import partial
from uuid import UUID

import pytest
from django.db import IntegrityError
from django.http import Http404

from quizzes.attempts.acts import hand_in, start_attempt, void_attempt
from quizzes.banks.editions.texts import text_of
from quizzes.models import Attempt, Bank
from quizzes.questions.assembly import assemble
from quizzes.questions.form_data import history_of, lines_of
from quizzes.relearning.acts import release_student
from quizzes.relearning.queries import passes
from shopsafe.school.refusals import Refused
from tests.cast import Cast, make_cast
from tests.factories.at_once import at_once
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
from tests.factories.people import EnrollmentFactory


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher)


def code_of(**start: object) -> str:
    with pytest.raises(Refused) as caught:
        start_attempt(**start)  # type: ignore[arg-type]
    return caught.value.code


def test_gives_a_form_of_the_latest_edition(cast: Cast, bank: Bank) -> None:
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    assert (attempt.asked, attempt.perfect, attempt.is_open) == (3, False, True)
    assert {line.rule for line in lines_of(attempt.form)} == {"r0", "r1", "r2"}
    assert attempt.edition == bank.editions.get()
    assert isinstance(attempt.pk, UUID)


def test_the_form_can_be_built_again_from_what_was_kept(cast: Cast, bank: Bank) -> None:
    missed = take(cast.student, bank, wrong=["r1"])
    learn(missed, AT + 10 * MINUTE)
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT + 60 * MINUTE)
    again = assemble(text_of(attempt.edition).bank, history_of(attempt.form), random.Random(attempt.seed))
    assert again.lines == lines_of(attempt.form)
    assert attempt.form["from"]["missed_rules"] == ["r1"]


def test_starting_twice_is_one_attempt(cast: Cast, bank: Bank) -> None:
    first = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    assert start_attempt(student=cast.student, bank=bank.pk, at=AT + MINUTE) == first
    assert Attempt.objects.count() == 1


def test_the_database_holds_one_open_attempt(cast: Cast, bank: Bank) -> None:
    first = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    first.pk, first._state.adding = UUID(int=7), True
    with pytest.raises(IntegrityError):
        first.save(force_insert=True)


def test_classmates_have_forms_of_their_own(cast: Cast, bank: Bank) -> None:
    first_attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    second_attempt = start_attempt(student=cast.classmate, bank=bank.pk, at=AT)
    assert first_attempt.seed != second_attempt.seed
    ids = [
        {option.id for line in lines_of(attempt.form) for option in line.options}
        for attempt in (first_attempt, second_attempt)
    ]
    assert not ids[0] & ids[1]


def test_after_a_miss_the_cards_come_first_then_the_wait(cast: Cast, bank: Bank) -> None:
    missed = take(cast.student, bank, wrong=["r1"])
    ready = AT + 10 * MINUTE
    assert code_of(student=cast.student, bank=bank.pk, at=ready) == "attempt.relearn"
    learn(missed, ready)
    assert code_of(student=cast.student, bank=bank.pk, at=ready + 5 * MINUTE - MINUTE / 60) == "attempt.wait"
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=ready + 5 * MINUTE)
    seen = {line.code for line in lines_of(missed.form)}
    fresh = [line.code for line in lines_of(attempt.form) if line.rule == "r1"]
    assert len(fresh) == 2
    assert not seen & set(fresh)


def test_after_two_misses_a_day_the_teacher_comes_first(cast: Cast, bank: Bank) -> None:
    learn(take(cast.student, bank, wrong=["r1"]), AT + 10 * MINUTE)
    second = take(cast.student, bank, AT + 20 * MINUTE, wrong=["r1"])
    learn(second, AT + 30 * MINUTE)
    assert code_of(student=cast.student, bank=bank.pk, at=AT + 60 * MINUTE) == "attempt.teacher"
    assert code_of(student=cast.student, bank=bank.pk, at=AT + 3 * DAY) == "attempt.teacher"
    release_student(by=cast.teacher, attempt=second.pk, at=AT + 60 * MINUTE)
    assert start_attempt(student=cast.student, bank=bank.pk, at=AT + 60 * MINUTE).is_open


def test_a_miss_on_another_day_starts_the_count_again(cast: Cast, bank: Bank) -> None:
    learn(take(cast.student, bank, wrong=["r1"]), AT + 10 * MINUTE)
    learn(take(cast.student, bank, AT + DAY, wrong=["r1"]), AT + DAY + 10 * MINUTE)
    assert start_attempt(student=cast.student, bank=bank.pk, at=AT + DAY + 15 * MINUTE).is_open


def test_student_who_passed_cannot_start_again(cast: Cast, bank: Bank) -> None:
    assert take(cast.student, bank).perfect
    assert code_of(student=cast.student, bank=bank.pk, at=AT + DAY) == "attempt.passed"


def test_a_refresher_is_for_those_who_have_passed(cast: Cast, bank: Bank) -> None:
    assert start_attempt(student=cast.classmate, bank=bank.pk, refresher=True, at=AT).purpose == "quiz"
    take(cast.student, bank)
    again = take(cast.student, bank, AT + DAY, refresher=True)
    form = assemble(text_of(again.edition).bank, history_of(again.form), random.Random(again.seed), refresher=True)
    assert form.lines == lines_of(again.form)
    assert (again.purpose, again.perfect) == ("refresher", True)
    assert [quiz_pass.refresher for quiz_pass in passes([cast.student.pk], AT + 2 * DAY)] == [False, True]


def test_a_missed_refresher_is_learned_again_and_stays_a_refresher(cast: Cast, bank: Bank) -> None:
    take(cast.student, bank)
    missed = take(cast.student, bank, AT + DAY, refresher=True, wrong=["r2"])
    assert code_of(student=cast.student, bank=bank.pk, refresher=True, at=AT + DAY + 9 * MINUTE) == "attempt.relearn"
    learn(missed, AT + DAY + 10 * MINUTE)
    assert start_attempt(student=cast.student, bank=bank.pk, at=AT + 2 * DAY).purpose == "refresher"


def test_when_a_pass_no_longer_counts_the_quiz_opens_again(cast: Cast, bank: Bank) -> None:
    take(cast.student, bank)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, AT + DAY, "stop")
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT + 2 * DAY)
    assert (attempt.edition.number, attempt.purpose) == (2, "quiz")


def test_a_pass_that_will_end_may_be_renewed_early(cast: Cast, bank: Bank) -> None:
    take(cast.student, bank)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, AT + DAY, "until", until=(AT + 30 * DAY).date())
    assert take(cast.student, bank, AT + 2 * DAY).purpose == "quiz"
    assert [quiz_pass.edition for quiz_pass in passes([cast.student.pk], AT + 3 * DAY)] == [1, 2]


def test_a_voided_attempt_stands_in_nobodys_way(cast: Cast, bank: Bank) -> None:
    missed = take(cast.student, bank, wrong=["r1"])
    void_attempt(by=cast.teacher, attempt=missed.pk, reason="Fire alarm.", at=AT + 10 * MINUTE)
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT + 11 * MINUTE)
    assert not {line.code for line in lines_of(missed.form)} & {line.code for line in lines_of(attempt.form)}


def test_an_open_attempt_goes_on_when_a_new_edition_comes(cast: Cast, bank: Bank) -> None:
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, AT + MINUTE)
    assert start_attempt(student=cast.student, bank=bank.pk, at=AT + 2 * MINUTE) == attempt
    answer_all(attempt, AT + 3 * MINUTE)
    assert hand_in(student=cast.student, attempt=attempt.pk, at=AT + 4 * MINUTE).perfect


def test_refuses_everyone_but_students(cast: Cast, bank: Bank) -> None:
    for person in (cast.teacher, cast.colleague, cast.office, cast.substitute):
        assert code_of(student=person, bank=bank.pk, at=AT) == "access.not-yours"


def test_refuses_a_bank_of_another_school_and_one_without_an_edition(cast: Cast, bank: Bank) -> None:
    with pytest.raises(Http404):
        start_attempt(student=cast.stranger_student, bank=bank.pk, at=AT)
    draft = make_bank(cast.school, bank_text(code="drill-press"))
    assert code_of(student=cast.student, bank=draft.pk, at=AT) == "attempt.no-edition"
    assert not Attempt.objects.exists()


# ---- beside others ---------------------------------------------------------------------------------------------------


def codes(attempt: Attempt) -> set[str]:
    return {line.code for line in lines_of(attempt.form)}


def test_neighbors_within_the_hour_share_nothing_that_the_bank_need_not(cast: Cast, bank: Bank) -> None:
    first = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    second = start_attempt(student=cast.classmate, bank=bank.pk, at=AT + 59 * MINUTE)
    assert second.form["from"]["nearby"] == dict.fromkeys(codes(first), 1)
    assert not codes(first) & codes(second)
    again = assemble(text_of(second.edition).bank, history_of(second.form), random.Random(second.seed))
    assert again.lines == lines_of(second.form)


def test_forms_of_another_hour_bank_or_school_are_not_looked_at(cast: Cast, bank: Bank) -> None:
    start_attempt(student=cast.student, bank=bank.pk, at=AT)
    other = published(cast.teacher, bank_text(code="other"))
    start_attempt(student=cast.student, bank=other.pk, at=AT + 60 * MINUTE)
    later = start_attempt(student=cast.classmate, bank=bank.pk, at=AT + 60 * MINUTE)
    assert later.form["from"]["nearby"] == {}


def test_a_form_kept_before_neighbors_were_looked_at_can_be_read(cast: Cast, bank: Bank) -> None:
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    del attempt.form["from"]["nearby"]
    assert history_of(attempt.form).nearby == {}


@pytest.mark.django_db(transaction=True)
def test_students_who_start_at_the_same_moment_share_nothing() -> None:
    """The second student waits for the form of the first: no two of three draw from the same look at the bank."""
    cast = make_cast()
    bank = published(cast.teacher, bank_text(rules=3, each=3, ask=3))
    students = [EnrollmentFactory(section=cast.section).student for _ in range(3)]
    assert at_once(*(partial(start_attempt, student=student, bank=bank.pk, at=AT) for student in students)) == []
    forms = [codes(attempt) for attempt in Attempt.objects.all()]
    assert [len(form) for form in forms] == [3, 3, 3]
    assert len(set().union(*forms)) == 9
