"""Drafts: a teacher begins one and changes it. Students meet nothing of it before it is published."""

from collections.abc import Callable, Collection
from dataclasses import asdict
from datetime import datetime

from django.db import IntegrityError

from quizzes.access import banks_for
from quizzes.banks.draft_rows import draft_of, draft_text, picture_data
from quizzes.banks.pictures.files import NoPicture, photo
from quizzes.banks.rules.data import from_data, to_data
from quizzes.banks.rules.editing import fresh_code, put_blueprint
from quizzes.banks.rules.fields import BankFileError
from quizzes.facts import BankText, Blueprint
from quizzes.models import Bank, DraftChange, Picture
from shopsafe.act import act
from shopsafe.language.messages import _, marked, stored
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school, locked, share_school
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

CHANGED = "draft.changed"
LONGEST = 300


SAME_SUBJECT = marked("There is a bank of that name already. Open it, or choose another name.")
ASK = 10


def add_bank(*, by: Person, subject: str, about: str, at: datetime | None = None) -> Bank:
    """A new bank with nothing in it yet. Refused: bank.same-subject (409)."""
    try:
        return _add_bank(by=by, subject=subject, about=about, at=at)
    except IntegrityError as error:
        raise Refused("bank.same-subject", _(SAME_SUBJECT)) from error


@act
def _add_bank(*, by: Person, subject: str, about: str, at: datetime | None) -> Bank:
    access.allow(by, "edit a bank")
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    here = dict(banks_for(by).values_list("code", "subject"))
    if subject.casefold() in (other.casefold() for other in here.values()):
        raise Refused("bank.same-subject", _(SAME_SUBJECT))
    code = fresh_code(here, subject, "bank")
    text = BankText(code=code, subject=subject, language="en", about=about, blueprint=Blueprint(ask=ASK))
    _check_consistency(text)
    bank = Bank.objects.create(
        school=by.school,
        code=code,
        subject=subject,
        draft=draft_text(text),
        draft_changed_at=at,
        draft_changed_by=by,
    )
    payload = {"by": by.as_record(), "bank": {"id": bank.pk, "name": subject}, "from": "nothing", "rules": 0}
    append(kind="bank.added", school=by.school_id, at=at, payload=payload)
    return bank


@act
def change_draft(
    *,
    by: Person,
    bank: int,
    revision: int,
    change: Callable[[BankText], BankText],
    says: str,
    at: datetime | None = None,
) -> Bank:
    """Changes the draft that the teacher has seen, identified by its revision; `says` tells others what was changed.

    A change that changes nothing is none. Refused: draft.changed (409); draft.not-a-bank (422).
    """
    stored_bank = _opened(by, bank, revision)
    at = act_moment(stored_bank.school_id, at)
    _write(stored_bank, change(draft_of(stored_bank).bank), says, by, at)
    return stored_bank


@act
def set_blueprint(
    *, by: Person, bank: int, revision: int, blueprint: Blueprint, must: Collection[str], at: datetime | None = None
) -> Bank:
    """What a quiz asks from the next edition on: how many questions, which rules every time, what follows a miss.

    Refused: draft.changed (409); draft.not-a-bank (422).
    """
    stored_bank = _opened(by, bank, revision)
    at = act_moment(stored_bank.school_id, at)
    before = draft_of(stored_bank).bank
    after = put_blueprint(before, blueprint, must)
    if _write(stored_bank, after, stored("changed the quiz settings"), by, at):
        payload = {
            "by": by.as_record(),
            "bank": {"id": stored_bank.pk, "name": stored_bank.subject},
            "blueprint": _numbers(after),
            "before": _numbers(before),
        }
        append(kind="blueprint.set", school=stored_bank.school_id, at=at, payload=payload)
    return stored_bank


def _numbers(bank: BankText) -> dict[str, object]:
    return asdict(bank.blueprint) | {"must_ask": [rule.code for rule in bank.rules if rule.must_ask]}


def _opened(by: Person, bank: int, revision: int) -> Bank:
    """The bank, locked, as the teacher has seen it."""
    access.allow(by, "edit a bank")
    share_school(by.school_id)
    stored_bank = access.one_of(locked(banks_for(by)), pk=bank)
    if stored_bank.draft_revision != revision:
        raise Refused(CHANGED, _("Someone changed the draft since you opened it. Look at theirs, then do it again."))
    return stored_bank


def _write(bank: Bank, text: BankText, says: str, by: Person, at: datetime) -> bool:
    """The draft as changed, with who changed it; False where nothing is different."""
    if text == draft_of(bank).bank:
        return False
    _check_consistency(text)
    bank.draft, bank.subject, bank.draft_revision = draft_text(text), text.subject, bank.draft_revision + 1
    bank.draft_changed_at, bank.draft_changed_by = at, by
    bank.save(update_fields=["draft", "subject", "draft_revision", "draft_changed_at", "draft_changed_by"])
    DraftChange.objects.create(bank=bank, revision=bank.draft_revision, by=by, at=at, says=says[:LONGEST])
    return True


@act
def add_picture(*, by: Person, bank: int, content: bytes, at: datetime | None = None) -> str:
    """Keeps a picture drawn again beside the draft, and returns its name. No rule and no question shows it yet.

    The draft's revision stays: a colleague's open form is not disturbed. Refused: picture.unreadable (422).
    """
    access.allow(by, "edit a bank")
    share_school(by.school_id)
    stored_bank = access.one_of(locked(banks_for(by)), pk=bank)
    at = act_moment(stored_bank.school_id, at)
    try:
        name, facts, anew = photo(content)
    except NoPicture as error:
        raise Refused("picture.unreadable", str(error), 422) from error
    Picture.objects.get_or_create(
        school=stored_bank.school, digest=facts.digest, defaults={"kind": facts.kind, "content": anew}
    )
    stored_bank.draft_pictures = stored_bank.draft_pictures | picture_data({name: facts})
    stored_bank.draft_changed_at, stored_bank.draft_changed_by = at, by
    stored_bank.save(update_fields=["draft_pictures", "draft_changed_at", "draft_changed_by"])
    return name


def _check_consistency(bank: BankText) -> None:
    """Refuses what no bank file could hold: what is stored must be readable again."""
    try:
        from_data(to_data(bank))
    except BankFileError as error:
        first = error.problems[0]
        raise Refused("draft.not-a-bank", f"{first.where}: {first.sentence}", 422) from error
