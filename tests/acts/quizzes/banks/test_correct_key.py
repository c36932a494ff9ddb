"""A wrong key is corrected by a new edition; who gains gets a new result, and no one loses one."""

from dataclasses import replace
from typing import Any

import pytest
from django.http import Http404

from quizzes.attempts.acts import hand_in, save_answer, start_attempt
from quizzes.attempts.regrading.acts import correct_key
from quizzes.attempts.regrading.queries import concerned
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.approved import current_approval
from quizzes.banks.editions.queries import latest_editions
from quizzes.banks.editions.texts import text_of
from quizzes.figures import counting
from quizzes.models import Acceptance, Attempt, Bank, DraftChange, Edition, Regrade
from quizzes.questions.form_data import lines_of
from quizzes.relearning.queries import passes, steps
from shopsafe.logbook.models import Listing
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, bank_text, change, learn, published, take
from tests.factories.people import EnrollmentFactory
from tests.rules.quizzes.attempts.sending import sent_for

TRUE = "1"  # the first wrong option of each question: what the manual says


def small_bank(cast: Cast) -> Bank:
    """Three rules with one question each, all asked; the key of r1's question is wrong."""
    return published(cast.teacher, bank_text(rules=3, each=1, ask=3))


def answering(student: Person, bank: Bank, places: dict[str, int], at: Any = AT) -> Attempt:
    """An attempt that picks these places, by question; the key of every other one."""
    attempt = start_attempt(student=student, bank=bank.pk, at=at)
    for number, line in enumerate(lines_of(attempt.form), 1):
        sent = sent_for(line, places.get(line.code, 0))
        save_answer(student=student, attempt=attempt.pk, number=number, sent=sent, revision=None, at=at)
    return hand_in(student=student, attempt=attempt.pk, at=at + MINUTE)


def correct(cast: Cast, bank: Bank, **more: Any) -> Any:
    arguments = {"by": cast.teacher, "edition": 1, "question": "r1-q0", "key": TRUE, "reason": "The manual says so."}
    return correct_key(bank=bank.pk, at=AT + DAY, **(arguments | more))


def test_correction_publishes_an_edition_with_only_the_key_changed(cast: Cast) -> None:
    bank = small_bank(cast)
    first = bank.editions.get()
    correction = correct(cast, bank)
    edition = Edition.objects.get(number=2)
    before, after = text_of(first).bank, text_of(edition).bank
    assert correction.edition == edition
    assert after.question_by_code["r1-q0"].right == before.question_by_code["r1-q0"].wrong[0]  # type: ignore[attr-defined]
    assert after.question_by_code["r0-q0"] == before.question_by_code["r0-q0"]
    assert edition.earlier_passes_count
    assert current_approval(edition)
    assert draft_of(Bank.objects.get(pk=bank.pk)).bank == after
    assert DraftChange.objects.get(bank=bank).says.startswith("corrected the key of")


def test_student_whose_one_wrong_answer_was_right_passes(cast: Cast) -> None:
    bank = small_bank(cast)
    original = answering(cast.student, bank, {"r1-q0": 1})
    assert not original.perfect
    correction = correct(cast, bank)
    regrade = Regrade.objects.get(correction=correction)
    assert (regrade.original, regrade.attempt.perfect, regrade.attempt.edition) == (original, True, original.edition)
    assert [one_pass.at for one_pass in passes([cast.student.pk], AT + 2 * DAY)] == [AT + DAY]
    assert steps(cast.student, AT + 2 * DAY, latest_editions(cast.student, AT + 2 * DAY))[bank.pk].code == "passed"


def test_first_result_and_its_entry_stay_as_they_were(cast: Cast) -> None:
    bank = small_bank(cast)
    original = answering(cast.student, bank, {"r1-q0": 1})
    correct(cast, bank)
    stored = Attempt.objects.get(pk=original.pk)
    assert (stored.correct, stored.perfect, stored.missed_questions) == (2, False, ["r1-q0"])
    kinds = Listing.objects.filter(school=cast.school.pk).order_by("entry").values_list("kind", flat=True)
    assert list(kinds)[-4:] == ["edition.published", "bank.accepted", "key.corrected", "attempt.regraded"]
    assert "attempt.missed" in kinds
    assert verify().holds


def test_regraded_attempt_keeps_every_answer(cast: Cast) -> None:
    bank = small_bank(cast)
    original = answering(cast.student, bank, {"r1-q0": 1})
    correct(cast, bank)
    attempt = Regrade.objects.get().attempt
    responses = [dict(a.answers.values_list("question", "response")) for a in (original, attempt)]
    assert responses[0] == responses[1]


def test_student_who_picked_the_old_key_keeps_the_pass(cast: Cast) -> None:
    bank = small_bank(cast)
    attempt = answering(cast.student, bank, {})
    correct(cast, bank)
    assert Attempt.objects.get(pk=attempt.pk).perfect
    assert len(passes([cast.student.pk], AT + 2 * DAY)) == 1
    assert not Regrade.objects.exists()


def test_student_with_another_wrong_answer_gains_nothing(cast: Cast) -> None:
    bank = small_bank(cast)
    answering(cast.student, bank, {"r1-q0": 1, "r2-q0": 2})
    correct(cast, bank)
    assert not Regrade.objects.exists()


def test_student_who_passed_since_gains_nothing(cast: Cast) -> None:
    bank = small_bank(cast)
    missed = answering(cast.student, bank, {"r1-q0": 1})
    learn(missed, AT + 5 * MINUTE)
    answering(cast.student, bank, {}, AT + 60 * MINUTE)
    correct(cast, bank)
    assert not Regrade.objects.exists()


def test_student_with_two_such_attempts_gets_one_new_result(cast: Cast) -> None:
    bank = small_bank(cast)
    learn(answering(cast.student, bank, {"r1-q0": 1}), AT + 5 * MINUTE)
    answering(cast.student, bank, {"r1-q0": 1}, AT + 60 * MINUTE)
    correct(cast, bank)
    assert Regrade.objects.count() == 1


def test_page_and_act_concern_the_same_students(cast: Cast) -> None:
    bank = small_bank(cast)
    gains = answering(cast.student, bank, {"r1-q0": 1})
    still = answering(cast.classmate, bank, {"r1-q0": 1, "r2-q0": 2})
    old_key = answering(EnrollmentFactory(section=cast.section).student, bank, {"r2-q0": 2})
    concern = concerned(bank, bank.editions.get(), "r1-q0", TRUE)
    assert (concern.gains, concern.still_missed, concern.old_key) == ((gains,), (still,), (old_key,))


def test_regraded_attempts_are_not_counted_as_answers(cast: Cast) -> None:
    bank = small_bank(cast)
    answering(cast.student, bank, {"r1-q0": 1})
    before = counting.kept(bank.pk)
    correct(cast, bank)
    assert counting.kept(bank.pk) == before == counting.recount(bank.pk, cast.school.time_zone)


def test_draft_that_changed_the_question_keeps_its_change(cast: Cast) -> None:
    bank = small_bank(cast)
    text = bank_text(rules=3, each=1, ask=3)
    rest = [question for question in text.questions if question.code != "r1-q0"]
    reworded = replace(text.question_by_code["r1-q0"], asks="What does rule 1 say now?")
    change(bank, replace(text, questions=(*rest, reworded)))
    correct(cast, bank)
    assert draft_of(Bank.objects.get(pk=bank.pk)).bank.question_by_code["r1-q0"].asks == "What does rule 1 say now?"
    assert not DraftChange.objects.exists()


def test_edition_that_no_teacher_approves_stays_practice(cast: Cast) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3), accept=False)
    practice = answering(cast.student, bank, {"r1-q0": 1})
    assert practice.practice
    correct(cast, bank)
    assert not Acceptance.objects.exists()
    assert not Regrade.objects.exists(), "practice counts for nothing, before and after"


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"reason": "  "}, "key.reason"),
        ({"key": "0"}, "key.which"),
        ({"key": "9"}, "key.which"),
        ({"key": "1,2"}, "key.which"),
        ({"key": "x"}, "key.which"),
    ],
)
def test_correction_is_refused_without_a_reason_or_another_answer(cast: Cast, more: dict[str, str], code: str) -> None:
    bank = small_bank(cast)
    with pytest.raises(Refused) as refusal:
        correct(cast, bank, **more)
    assert refusal.value.code == code
    assert bank.editions.count() == 1


def test_correction_is_refused_after_a_newer_edition(cast: Cast) -> None:
    bank = small_bank(cast)
    correct(cast, bank)
    with pytest.raises(Refused) as refusal:
        correct(cast, bank, question="r2-q0")
    assert refusal.value.code == "key.newer"


def test_only_a_teacher_of_a_shop_corrects_a_key(cast: Cast) -> None:
    bank = small_bank(cast)
    for person in cast.not_teachers:
        if person == cast.other_teacher:
            continue  # teaches in another shop of this school: banks are the school's
        with pytest.raises((Refused, Http404)):
            correct(cast, bank, by=person)
    assert bank.editions.count() == 1


def test_take_after_correction_uses_the_new_key(cast: Cast) -> None:
    bank = small_bank(cast)
    correct(cast, bank)
    assert take(cast.student, bank, at=AT + 2 * DAY).perfect
