"""After a miss: open a rule's card, recall it with the card covered, answer a check question, be released."""

from datetime import datetime
from uuid import UUID

from quizzes.access import attempts_for
from quizzes.banks.editions.texts import text_of
from quizzes.facts import FormQuestion, Rule
from quizzes.models import Attempt, Release, RuleRead
from quizzes.questions.answering import NotOnForm, Response, Sent, answer_of, missing, read_response
from quizzes.questions.grading import is_right
from quizzes.questions.showing import unit_of
from quizzes.relearning.opened_card import NOT_OPENED, opened_at
from quizzes.relearning.queries import check_line, step_of
from quizzes.relearning.rules.recalling import is_recalled
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

MOST_TRIES = 1000  # a counter, not a limit: no one is kept from trying to recall


@act
def open_card(*, student: Person, attempt: UUID, rule: str, opened: str, at: datetime | None = None) -> RuleRead:
    """Records that the student has opened the card of a missed rule and is about to cover it. Twice is once.

    `opened` is the note that the card's page carries. Refused: card.not-opened (409).
    """
    missed, card = _missed_rule(student, attempt, rule)
    at = act_moment(missed.school_id, at)
    moment = opened_at(opened, student.pk, missed.pk, card.code)
    if moment is None:
        raise Refused("card.not-opened", _(NOT_OPENED))
    defaults = {"opened_at": min(moment, at)}
    read, _created = RuleRead.objects.get_or_create(attempt=missed, rule=card.code, defaults=defaults)
    return read


@act
def recall_rule(*, student: Person, attempt: UUID, rule: str, word: str, at: datetime | None = None) -> RuleRead:
    """Checks what the student recalled. `recalled_at` stays empty while it is not the rule's word; each try counts.

    Refused: card.not-opened (409).
    """
    missed, card = _missed_rule(student, attempt, rule)
    at = act_moment(missed.school_id, at)
    read = RuleRead.objects.filter(attempt=missed, rule=card.code).first()
    if read is None:
        raise Refused("card.not-opened", _(NOT_OPENED))
    if read.recalled_at:
        return read
    read.tries = min(read.tries + 1, MOST_TRIES)
    if card.recall is None or is_recalled(card.recall, word):
        read.recalled_at = at
        append(kind="rule.read", school=missed.school_id, at=at, payload=_record(missed, card) | _times(read))
    read.save(update_fields=["tries", "recalled_at"])
    return read


@act
def answer_check(*, student: Person, attempt: UUID, rule: str, sent: Sent, at: datetime | None = None) -> bool | None:
    """Whether the first answer to the check question on a missed rule is right; None where there was one before.

    It counts for nothing: neither the answer nor whether it is right is kept.
    Refused: check.cards-first (409), check.unanswered, answer.not-on-form (422).
    """
    missed, card = _missed_rule(student, attempt, rule)
    at = act_moment(missed.school_id, at)
    reads = {read.rule: read for read in missed.rules_read.filter(recalled_at__isnull=False)}
    if not reads.keys() >= set(missed.missed_rules):
        raise Refused("check.cards-first", _("First read your rule cards. Then answer the check questions."))
    read, line, edition = reads[card.code], check_line(missed, card.code), text_of(missed.edition)
    if read.checked_at:
        return None
    question = edition.bank.question_by_code[line.code]
    response = read_check(line, sent)
    if lacks := missing(line, response, unit_of(edition, question)):
        raise Refused("check.unanswered", lacks, 422)
    read.checked_at, read.checked_question = at, line.code
    read.save(update_fields=["checked_at", "checked_question"])
    record = _record(missed, card) | {"question": {"code": question.code, "asks": question.asks}}
    append(kind="rule.checked", school=missed.school_id, at=at, payload=record)
    return is_right(question, answer_of(line, response), edition.bank.value_by_code)


def read_check(line: FormQuestion, sent: Sent) -> Response | None:
    """What was sent for a check question. Refused: answer.not-on-form (422)."""
    try:
        return read_response(line, sent)
    except NotOnForm as error:
        raise Refused(
            "answer.not-on-form", _("That answer is not on this page. Go back and choose again."), 422
        ) from error


def _missed_rule(student: Person, attempt: UUID, rule: str) -> tuple[Attempt, Rule]:
    """The closed attempt, locked, and the card of one of its missed rules. Anything else is a 404."""
    access.allow(student, "take a quiz")
    lock(student)
    rows = attempts_for(student).filter(handed_in_at__isnull=False, voided_at__isnull=True)
    missed = access.one_of(rows, pk=attempt)
    if rule not in missed.missed_rules:
        raise Refused("card.not-missed", _("That rule is not one of yours to learn again."), 422)
    return missed, text_of(missed.edition, student.given.language).bank.rule_by_code[rule]


def _times(read: RuleRead) -> dict[str, object]:
    return {"opened_at": read.opened_at, "tries": read.tries}


def _record(missed: Attempt, card: Rule) -> dict[str, object]:
    return {
        "student": missed.student.as_record(),
        "bank": {"id": missed.bank_id, "name": missed.bank.subject},
        "edition": {"id": missed.edition_id, "name": str(missed.edition.number)},
        "attempt": str(missed.pk),
        "rule": {"code": card.code, "says": card.says},
    }


@act
def release_student(*, by: Person, attempt: UUID, at: datetime | None = None) -> Release:
    """Lets the student try again after too many misses. `attempt` is the last missed one. Twice is once.

    Refused: release.not-waiting (409) where the teacher is not what the student waits for.
    """
    access.allow(by, "release a student")
    missed = access.one_of(attempts_for(by).select_related("student"), pk=attempt)
    lock(missed.student, missed)
    at = act_moment(missed.school_id, at)
    before = Release.objects.filter(attempt=missed).first()
    if before:
        return before
    step = step_of(missed, at)
    if step.attempt != missed.pk or not step.teacher:
        raise Refused("release.not-waiting", _("This student is not waiting for you here."))
    release = Release.objects.create(school_id=missed.school_id, attempt=missed, released_by=by, released_at=at)
    append(
        kind="student.released",
        school=missed.school_id,
        at=at,
        payload={
            "student": missed.student.as_record(),
            "by": by.as_record(),
            "bank": {"id": missed.bank_id, "name": missed.bank.subject},
            "attempt": str(missed.pk),
            "missed_rules": list(missed.missed_rules),
        },
    )
    return release
