"""Attempts on a screen and on paper: start one, save or enter answers, hand in, void."""

import random
import secrets
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from quizzes.access import attempts_for
from quizzes.attempts.payloads import attempt_payload, hand_in_payload, on_paper_payload
from quizzes.attempts.queries import asked_nearby
from quizzes.attempts.statements import add_answer, change_answer, kept_answer, locked_attempt
from quizzes.banks.editions.queries import edition_to_take
from quizzes.banks.editions.texts import text_of
from quizzes.facts import EditionText, FormQuestion, History
from quizzes.figures import counting
from quizzes.models import Answer, Attempt, Bank, Edition
from quizzes.questions.answering import (
    TAKEN_AWAY,
    NotOnForm,
    Sent,
    answer_of,
    can_be_taken_away,
    missing,
    read_response,
)
from quizzes.questions.assembly import assemble
from quizzes.questions.form_data import form_data, line_of, lines_of
from quizzes.questions.grading import grade
from quizzes.questions.showing import unit_of
from quizzes.relearning.queries import seen_questions, steps
from quizzes.relearning.rules.next_attempt import Step, StepCode
from shopsafe.act import act
from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.append import append
from shopsafe.paper.codes import new_code
from shopsafe.school import access
from shopsafe.school.clock import act_moment, moment_after
from shopsafe.school.locks import lock, locked
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

SEED_BITS = 63

NOT_NOW = {
    StepCode.RELEARN: ("attempt.relearn", marked("First read your rule cards. Then you can try again.")),
    StepCode.CHECK: ("attempt.check", marked("First answer your check questions. Then you can try again.")),
    StepCode.TEACHER: ("attempt.teacher", marked("Talk to your teacher first. Your teacher lets you try again.")),
    StepCode.WAIT: ("attempt.wait", marked("It is not time yet. Wait a little, then try again.")),
    StepCode.PASSED: ("attempt.passed", marked("You have passed this quiz. You don't need to take it again.")),
}
NOT_YET = {
    StepCode.RELEARN: marked("The rule cards come first."),
    StepCode.CHECK: marked("The check questions after the cards come first."),
    StepCode.TEACHER: marked("Let the student try again first, under Waiting for me."),
    StepCode.WAIT: marked("The waiting time is not over."),
    StepCode.PASSED: marked("It is passed."),
}
CLOSED = marked("This quiz was handed in. Its answers can't be changed.")
TAKEN_BACK = marked("Your teacher took this quiz back. Start it again.")
ON_PAPER = marked("You have this quiz on paper. Write on the sheet. Then give it to your teacher.")
NOT_ON_FORM = marked("That answer is not on your quiz. Go back and choose again.")


@act
def start_attempt(
    *,
    student: Person,
    bank: int,
    refresher: bool = False,
    again: bool = False,
    at: datetime | None = None,
    seed: int | None = None,
) -> Attempt:
    """The student's open attempt at this bank: the one there is, or a new one with a form of its own.

    Before a teacher has accepted the rules it is practice only, and stays so. A refresher is short, and for those who
    have passed; `again` lets those take the whole quiz once more. `seed` is drawn here unless a test gives it.
    Refused (409): attempt.relearn, .check, .teacher, .wait, .passed, .no-edition.
    """
    access.allow(student, "take a quiz")
    _lock(student, bank)
    at = act_moment(student.school_id, at)
    edition, step = _next(student, bank, at)
    if step.code == StepCode.OPEN and step.attempt:
        if step.paper:
            raise Refused("attempt.on-paper", _(ON_PAPER))
        return Attempt.objects.get(pk=step.attempt)
    if not step.may_start(refresher=refresher or again):
        code, sentence = NOT_NOW[step.code]
        raise Refused(code, _(sentence))
    return _begin(student, edition, step, _is_refresher(step, refresher), at, seed)


@act
def start_on_paper(
    *, student: Person, bank: int, by: Person, at: datetime | None = None, seed: int | None = None
) -> Attempt:
    """The student's quiz to print: the one that is out, or a new one under a code of its own.

    Refused: access.not-yours (403); paper.on-screen, .not-now, attempt.no-edition (409).
    """
    access.allow_with(by, "give a quiz on paper", student)
    _lock(student, bank)
    at = act_moment(student.school_id, at)
    edition, step = _next(student, bank, at)
    if step.code == StepCode.OPEN and step.attempt:
        if not step.paper:
            raise Refused(
                "paper.on-screen",
                _("{student} has begun this quiz on a screen. Void that first.", student=student.short_name),
            )
        return Attempt.objects.get(pk=step.attempt)
    if not step.may_start():
        sentence = _("{student} can't take this quiz now.", student=student.short_name)
        raise Refused("paper.not-now", f"{sentence} {_(NOT_YET[step.code])}")
    again = _is_refresher(step, asked=False)
    attempt = _begin(student, edition, step, again, at, seed, paper_code=_free_code(student.school_id), printed_by=by)
    append(
        kind="attempt.printed",
        school=attempt.school_id,
        at=at,
        payload=attempt_payload(attempt, edition) | on_paper_payload(attempt, by),
    )
    return attempt


def _lock(student: Person, bank: int) -> None:
    """Two tabs at once: the second finds the first one's attempt. Two students at once: the second one's form is drawn
    when the first one's is there, so that they share as little as the bank allows."""
    lock(student)
    locked(access.in_school(Bank.objects.only("pk"), student).filter(pk=bank)).first()


def _free_code(school: int) -> str:
    """A code that is on no other sheet of the school."""
    while True:
        code = new_code(secrets.choice)
        if not Attempt.objects.filter(school=school, paper_code=code).exists():
            return code


def _next(student: Person, bank: int, at: datetime) -> tuple[Edition, Step]:
    edition = edition_to_take(student, bank, at)
    return edition, steps(student, at, [edition])[edition.bank_id]


def _begin(
    student: Person, edition: Edition, step: Step, short: bool, at: datetime, seed: int | None, **paper: Any
) -> Attempt:
    seed = secrets.randbits(SEED_BITS) if seed is None else seed
    history, dice = _history(student, edition, step, at), random.Random(seed)  # noqa: S311  rebuilt from its seed
    form = assemble(text_of(edition).bank, history, dice, refresher=short)
    return Attempt.objects.create(
        school_id=student.school_id,
        student=student,
        bank_id=edition.bank_id,
        edition=edition,
        purpose=Attempt.Purpose.REFRESHER if short else Attempt.Purpose.QUIZ,
        practice=step.practice,
        seed=seed,
        form=form_data(form, history),
        started_at=at,
        asked=len(form.lines),
        **paper,
    )


def _is_refresher(step: Step, asked: bool) -> bool:
    return (asked and step.code == StepCode.PASSED) or (step.refresher and step.code == StepCode.AGAIN)


def _history(student: Person, edition: Edition, step: Step, at: datetime) -> History:
    """What this student has met of the bank, and what others were asked in the hour before."""
    seen = dict(seen_questions(student.pk, edition.bank_id))
    history = History(seen=seen, nearby=asked_nearby(student, edition.bank_id, at))
    if step.code != StepCode.AGAIN or step.attempt is None:
        return history
    rules, questions = Attempt.objects.values_list("missed_rules", "missed_questions").get(pk=step.attempt)
    return replace(history, missed_rules=tuple(rules), missed_questions=frozenset(questions))


@act
def save_answer(
    *, student: Person, attempt: UUID, number: int, sent: Sent, revision: int | None, at: datetime | None = None
) -> tuple[Answer | None, str]:
    """Keeps the answer to question `number` (from 1); returns it and what is missing to hand it in.

    `revision` is the one the student's page was made from: an answer that was changed elsewhere since then is not
    overwritten, unless it is the same. Saving the same answer again changes nothing. A page that names its revision
    may do so after the hand-in too: it lost the response to its first save, and the answer is saved. A page that names
    its revision and sends nothing takes the answer away, where its kind lets a student do so.
    Refused: answer.closed (409), answer.changed-elsewhere (409), answer.not-on-form (422).
    """
    access.allow(student, "take a quiz")
    open_attempt = access.one_row(locked_attempt(student, attempt))
    at = moment_after(open_attempt.started_at, at)
    if open_attempt.is_open and open_attempt.on_paper:
        raise Refused("attempt.on-paper", _(ON_PAPER))
    line = _line(open_attempt, number)
    response = _read(line, sent)
    kept = kept_answer(open_attempt, line.code)
    lacks = missing(line, response, _unit(open_attempt, line))
    if not open_attempt.is_open:
        if open_attempt.voided_at or revision is None or kept is None or kept.response != response:
            raise Refused("answer.closed", _(TAKEN_BACK) if open_attempt.voided_at else _(CLOSED))
        return kept, lacks
    if response is None and kept and revision is not None and can_be_taken_away(line):
        response = TAKEN_AWAY
    if response is None or (kept and kept.response == response):
        return kept, lacks
    if kept and revision is not None and revision != kept.revision:
        raise Refused("answer.changed-elsewhere", _("You changed this answer in another tab."))
    return _keep(open_attempt, line, kept, response, at), lacks


def _read(line: FormQuestion, sent: Sent) -> dict[str, Any] | None:
    try:
        return read_response(line, sent)
    except NotOnForm as error:
        raise Refused("answer.not-on-form", _(NOT_ON_FORM), 422) from error


def _line(attempt: Attempt, number: int) -> FormQuestion:
    lines = attempt.form["lines"]
    if not 1 <= number <= len(lines):
        raise Refused("answer.not-on-form", _("That question is not on your quiz."), 422)
    return line_of(lines[number - 1])


def _unit(attempt: Attempt, line: FormQuestion) -> str:
    if line.kind != "measure":
        return ""
    edition = text_of(attempt.edition)
    return unit_of(edition, edition.bank.question_by_code[line.code])


def _keep(attempt: Attempt, line: FormQuestion, kept: Answer | None, response: dict[str, Any], at: datetime) -> Answer:
    if kept is None:
        kept = Answer(attempt=attempt, question=line.code, response=response, saved_at=at)
        add_answer(kept)
        return kept
    kept.response, kept.revision, kept.saved_at = response, kept.revision + 1, at
    change_answer(kept)
    return kept


@act
def enter_answers(*, by: Person, attempt: UUID, sent: Mapping[int, Sent], at: datetime | None = None) -> Attempt:
    """Keeps the answers as they are on the sheet, by the number of the question; what is left out is blank.

    They replace what was entered before, and count only when they are handed in.
    Refused: access.not-yours (403), paper.on-screen, answer.closed (409), answer.not-on-form (422).
    """
    stored_attempt = _sheet_of(by, attempt)
    at = act_moment(stored_attempt.school_id, at)
    if not stored_attempt.is_open:
        raise Refused("answer.closed", _(CLOSED))
    stored_attempt.answers.all().delete()
    lines = enumerate(lines_of(stored_attempt.form), 1)
    responses = [(line.code, response) for number, line in lines if (response := _read(line, sent.get(number, {})))]
    Answer.objects.bulk_create(
        Answer(attempt=stored_attempt, question=code, response=response, saved_at=at) for code, response in responses
    )
    return stored_attempt


def _sheet_of(by: Person, attempt: UUID) -> Attempt:
    """The quiz on paper, locked, of a student in the teacher's reach."""
    access.allow(by, "give a quiz on paper")
    rows = attempts_for(by).select_related("student__school", "edition").defer("edition__content")
    stored_attempt = access.one_of(rows, pk=attempt)
    lock(stored_attempt.student, stored_attempt)
    if not stored_attempt.on_paper:
        raise Refused("paper.on-screen", _("This quiz was taken on a screen. There is no sheet to enter."))
    return stored_attempt


@act
def hand_in_sheet(*, by: Person, attempt: UUID, at: datetime | None = None) -> Attempt:
    """Grades a quiz on paper from what was entered, and closes it. A blank answer is not right. Twice is once.

    Refused: access.not-yours (403), paper.on-screen, hand-in.voided (409).
    """
    stored_attempt = _sheet_of(by, attempt)
    at = act_moment(stored_attempt.school_id, at)
    if stored_attempt.voided_at:
        raise Refused("hand-in.voided", _("This quiz was voided. Print a new one."))
    if stored_attempt.handed_in_at:
        return stored_attempt
    stored_attempt.entered_by = by
    return _close(stored_attempt, _saved(stored_attempt), at)


@act
def hand_in(*, student: Person, attempt: UUID, at: datetime | None = None) -> Attempt:
    """Grades the attempt and closes it. Handing in twice is one hand-in: the second returns the first one's result.

    Refused: hand-in.unanswered (422) names the questions; hand-in.voided, attempt.on-paper (409).
    """
    access.allow(student, "take a quiz")
    rows = attempts_for(student).select_related("student__school", "edition").defer("edition__content")
    stored_attempt = access.one_of(rows, pk=attempt)
    lock(stored_attempt.student, stored_attempt)
    at = act_moment(stored_attempt.school_id, at)
    if stored_attempt.voided_at:
        raise Refused("hand-in.voided", _(TAKEN_BACK))
    if stored_attempt.handed_in_at:
        return stored_attempt
    if stored_attempt.on_paper:
        raise Refused("attempt.on-paper", _(ON_PAPER))
    saved = _saved(stored_attempt)
    _ask_complete(
        text_of(stored_attempt.edition),
        lines_of(stored_attempt.form),
        {code: response for code, (response, _) in saved.items()},
    )
    return _close(stored_attempt, saved, at)


def _saved(attempt: Attempt) -> dict[str, tuple[dict[str, Any], datetime]]:
    """Return question → its answer and when it was saved."""
    rows = attempt.answers.values_list("question", "response", "saved_at")
    return {code: (response, saved_at) for code, response, saved_at in rows}


def _close(attempt: Attempt, saved: dict[str, tuple[dict[str, Any], datetime]], at: datetime) -> Attempt:
    edition, lines = text_of(attempt.edition), lines_of(attempt.form)
    responses = {code: response for code, (response, _) in saved.items()}
    graded = grade(edition.bank, [(line.code, answer_of(line, responses.get(line.code))) for line in lines])
    attempt.handed_in_at, attempt.correct = at, graded.correct
    attempt.missed_rules, attempt.missed_questions = list(graded.missed_rules), list(graded.missed_questions)
    # The entry comes first, so that a closed attempt is written once and never touched again.
    attempt.entry = append(
        kind="attempt.practiced" if attempt.practice else "attempt.passed" if graded.perfect else "attempt.missed",
        school=attempt.school_id,
        at=at,
        payload=hand_in_payload(attempt, edition, lines, responses, graded),
    )
    attempt.save(update_fields=["handed_in_at", "correct", "missed_rules", "missed_questions", "entry", "entered_by"])
    counting.add(attempt, saved, attempt.student.school.time_zone)
    return attempt


def _ask_complete(edition: EditionText, lines: tuple[FormQuestion, ...], responses: dict[str, Any]) -> None:
    questions = edition.bank.question_by_code
    open_ones = [
        number
        for number, line in enumerate(lines, 1)
        if missing(line, responses.get(line.code), unit_of(edition, questions[line.code]))
    ]
    if open_ones:
        numbers = ", ".join(map(str, open_ones))
        sentence = counted(
            "Question {numbers} has no full answer yet. Answer, then hand in.",
            "Questions {numbers} have no full answer yet. Answer, then hand in.",
            count=len(open_ones),
            numbers=numbers,
        )
        raise Refused("hand-in.unanswered", sentence, 422)


@act
def void_attempt(*, by: Person, attempt: UUID, reason: str, at: datetime | None = None) -> Attempt:
    """Takes an attempt back, with a reason. Nothing is deleted; what it let the student do, it lets no longer.

    Refused: void.reason (422), void.already (409).
    """
    access.allow(by, "void an attempt")
    stored_attempt = access.one_of(attempts_for(by).select_related("student", "bank"), pk=attempt)
    lock(stored_attempt.student, stored_attempt)
    at = act_moment(stored_attempt.school_id, at)
    if not reason.strip():
        raise Refused("void.reason", _("Say why, so that it can be understood later."), 422)
    if stored_attempt.voided_at:
        raise Refused("void.already", _("This attempt was voided before: {reason}", reason=stored_attempt.void_reason))
    stored_attempt.voided_at, stored_attempt.voided_by, stored_attempt.void_reason = at, by, reason.strip()[:300]
    stored_attempt.save(update_fields=["voided_at", "voided_by", "void_reason"])
    append(
        kind="attempt.voided",
        school=stored_attempt.school_id,
        at=at,
        payload={
            "student": stored_attempt.student.as_record(),
            "by": by.as_record(),
            "bank": {"id": stored_attempt.bank_id, "name": stored_attempt.bank.subject},
            "attempt": str(stored_attempt.pk),
            "was_perfect": stored_attempt.perfect,
            "reason": stored_attempt.void_reason,
        },
    )
    if stored_attempt.handed_in_at:
        counting.take_away(stored_attempt, by.school.time_zone)
    return stored_attempt
