"""After a miss: open a rule's card, recall it with the card covered, be released by the teacher."""

from datetime import datetime
from uuid import UUID

from quizzes.access import attempts_for
from quizzes.banks.editions.texts import text_of
from quizzes.facts import Rule
from quizzes.models import Attempt, Release, RuleRead
from quizzes.relearning.queries import step_of
from quizzes.relearning.rules.recalling import is_recalled
from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

MOST_TRIES = 1000  # a counter, not a limit: nobody is kept from trying to recall


@act
def open_card(*, student: Person, attempt: UUID, rule: str, at: datetime | None = None) -> RuleRead:
    """Records that the student has read the card of a missed rule and is about to cover it. Twice is once."""
    missed, card = _missed_rule(student, attempt, rule)
    at = act_moment(missed.school_id, at)
    read, _ = RuleRead.objects.get_or_create(attempt=missed, rule=card.code, defaults={"opened_at": at})
    return read


@act
def recall_rule(*, student: Person, attempt: UUID, rule: str, said: str, at: datetime | None = None) -> RuleRead:
    """Checks what the student recalled. `recalled_at` stays empty while it is not the rule's word; each try counts.

    Refused: card.not-opened (409).
    """
    missed, card = _missed_rule(student, attempt, rule)
    at = act_moment(missed.school_id, at)
    read = RuleRead.objects.filter(attempt=missed, rule=card.code).first()
    if read is None:
        raise Refused("card.not-opened", "First read the card. Then cover it.")
    if read.recalled_at:
        return read
    read.tries = min(read.tries + 1, MOST_TRIES)
    if card.recall is None or is_recalled(card.recall, said):
        read.recalled_at = at
        append(kind="rule.read", school=missed.school_id, at=at, payload=_record(missed, card, read))
    read.save(update_fields=["tries", "recalled_at"])
    return read


def _missed_rule(student: Person, attempt: UUID, rule: str) -> tuple[Attempt, Rule]:
    """The closed attempt, locked, and the card of one of its missed rules. Anything else is a 404."""
    access.allow(student, "take a quiz")
    lock(student)
    rows = attempts_for(student).filter(handed_in_at__isnull=False, voided_at__isnull=True)
    missed = access.one_of(rows, pk=attempt)
    if rule not in missed.missed_rules:
        raise Refused("card.not-missed", "That rule is not one of yours to learn again.", 422)
    return missed, text_of(missed.edition, student.given.language).bank.rule_by_code[rule]


def _record(missed: Attempt, card: Rule, read: RuleRead) -> dict[str, object]:
    return {
        "student": missed.student.as_record(),
        "bank": {"id": missed.bank_id, "name": missed.bank.subject},
        "edition": {"id": missed.edition_id, "name": str(missed.edition.number)},
        "attempt": str(missed.pk),
        "rule": {"code": card.code, "says": card.says},
        "opened_at": read.opened_at,
        "tries": read.tries,
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
        raise Refused("release.not-waiting", "This student is not waiting for you here.")
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
