"""Correct a wrong key: a new edition with the right one, and a new attempt for each student who gains by it."""

import uuid
from datetime import datetime
from typing import Any

from django.db import IntegrityError
from django.http import Http404

from quizzes.attempts.payloads import hand_in_payload
from quizzes.attempts.regrading.queries import concerned
from quizzes.attempts.regrading.rules import CannotCorrect, corrected
from quizzes.banks.draft_rows import draft_of, draft_text
from quizzes.banks.editions.approved import current_approval
from quizzes.banks.editions.next_edition import about_edition, edition_record, may_approve, next_edition, open_bank
from quizzes.banks.editions.texts import text_of
from quizzes.facts import BankText, EditionText, Graded
from quizzes.figures.rules.contributions import key_of, wording
from quizzes.figures.rules.plain_words import answer_text
from quizzes.models import Acceptance, Answer, Attempt, Bank, DraftChange, Edition, KeyCorrection, Regrade
from quizzes.questions.form_data import lines_of
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

COPIED = ("school_id", "student_id", "bank_id", "edition_id", "purpose", "seed", "form", "asked")


def correct_key(
    *, by: Person, bank: int, edition: int, question: str, key: str, reason: str, at: datetime | None = None
) -> KeyCorrection:
    """Make `key` (places in the bank, as figures tell answers) the key of a question, from a new edition on.

    The new edition differs from edition number `edition` in this alone, counts earlier passes, and is approved where
    that one was. The draft gets the same key if its question reads the same. Each student whose one wrong answer was
    right gets a new, perfect attempt; the old one stays as it was. No pass is taken away.
    Refused: key.newer, key.raced (409); key.which, key.reason, publish.check (422); accept.no-shop (403).
    """
    try:
        return _correct(by=by, bank=bank, edition=edition, question=question, key=key, reason=reason.strip(), at=at)
    except IntegrityError as error:
        raise Refused("key.raced", _("Someone published this bank a moment ago. Read their edition first.")) from error


@act
def _correct(
    *, by: Person, bank: int, edition: int, question: str, key: str, reason: str, at: datetime | None
) -> KeyCorrection:
    access.allow(by, "publish an edition")
    may_approve(by)
    stored_bank, at = open_bank(by, bank, at)
    last = access.one_of(stored_bank.editions.select_related("bank"), number=edition)
    if stored_bank.editions.filter(number__gt=edition).exists():
        raise Refused("key.newer", _("A new edition has come out since you looked. Read its question first."))
    if not reason:
        raise Refused("key.reason", _("Say why the key is wrong, so that it can be understood later."), 422)
    before = text_of(last)
    after = _corrected(before.bank, question, key)
    concern = concerned(stored_bank, last, question, key)  # before the new edition: it words the question again
    new_edition = next_edition(stored_bank, last, EditionText(bank=after, pictures=before.pictures), by, at)
    new_edition.save(force_insert=True)
    _also_in_draft(stored_bank, before.bank, question, key, by, at)
    approved = current_approval(last) is not None
    published = edition_record(stored_bank, new_edition, by, approved=approved)
    append(kind="edition.published", school=stored_bank.school_id, at=at, payload=published)
    if approved:
        Acceptance.objects.create(school_id=stored_bank.school_id, edition=new_edition, by=by, at=at)
        append(
            kind="bank.accepted",
            school=stored_bank.school_id,
            at=at,
            payload=about_edition(stored_bank, new_edition, by),
        )
    correction = _record(stored_bank, new_edition, before.bank, question, key, reason, by, at, gains=len(concern.gains))
    for attempt in concern.gains:
        _regrade(attempt, correction, at)
    return correction


def _corrected(bank: BankText, question: str, key: str) -> BankText:
    if question not in bank.question_by_code:
        raise Http404
    try:
        return corrected(bank, question, key)
    except CannotCorrect as error:
        raise Refused("key.which", str(error), 422) from error


def _also_in_draft(bank: Bank, before: BankText, question: str, key: str, by: Person, at: datetime) -> None:
    draft = draft_of(bank).bank
    if draft.question_by_code.get(question) != before.question_by_code[question]:
        return  # changed in the draft in the meantime: its editor decides, and the page says so
    bank.draft, bank.draft_revision = draft_text(corrected(draft, question, key)), bank.draft_revision + 1
    bank.draft_changed_at, bank.draft_changed_by = at, by
    bank.save(update_fields=["draft", "draft_revision", "draft_changed_at", "draft_changed_by"])
    says = f"corrected the key of “{before.question_by_code[question].asks}”"[:300]
    DraftChange.objects.create(bank=bank, revision=bank.draft_revision, by=by, at=at, says=says)


def _record(
    bank: Bank,
    new_edition: Edition,
    before: BankText,
    code: str,
    key: str,
    reason: str,
    by: Person,
    at: datetime,
    gains: int,
) -> KeyCorrection:
    question = before.question_by_code[code]
    old = key_of(question, before)
    payload: dict[str, Any] = about_edition(bank, new_edition, by) | {
        "question": code,
        "asks": question.asks,
        "before": answer_text(question, old, before),
        "after": answer_text(question, key, before),
        "reason": reason,
        "gains": gains,
    }
    return KeyCorrection.objects.create(
        school_id=bank.school_id,
        bank=bank,
        edition=new_edition,
        question=code,
        wording=wording(before, code),
        key_before=old,
        key_after=key,
        by=by,
        at=at,
        reason=reason[:300],
        entry=append(kind="key.corrected", school=bank.school_id, at=at, payload=payload),
    )


def _regrade(original: Attempt, correction: KeyCorrection, at: datetime) -> None:
    """Hand the original's answers in again, graded by the corrected key: every answer is right now."""
    attempt = Attempt(
        **{name: getattr(original, name) for name in COPIED}, id=uuid.uuid4(), started_at=at, handed_in_at=at
    )
    attempt.correct = attempt.asked
    edition, lines = text_of(original.edition), lines_of(original.form)
    answers = list(original.answers.all())
    responses = {answer.question: answer.response for answer in answers}
    graded = Graded(asked=attempt.asked, correct=attempt.asked, missed_rules=(), missed_questions=())
    attempt.entry = append(
        kind="attempt.regraded",
        school=attempt.school_id,
        at=at,
        payload=hand_in_payload(attempt, edition, lines, responses, graded)
        | {
            "by": correction.by.as_record(),
            "regrades": str(original.pk),
            "key": {"question": correction.question, "correction": correction.entry_id},
            "first_graded": {"correct": original.correct, "asked": original.asked},
        },
    )
    # Answers first: a closed attempt takes none, and the key to it is checked at the end of the transaction.
    Answer.objects.bulk_create(
        Answer(attempt=attempt, question=a.question, response=a.response, revision=a.revision, saved_at=a.saved_at)
        for a in answers
    )
    attempt.save(force_insert=True)
    Regrade.objects.create(correction=correction, original=original, attempt=attempt)
