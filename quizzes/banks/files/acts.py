"""Bank files: one is sent in and looked at, then taken over as a draft in one step, or not at all."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError

from quizzes.access import banks_for
from quizzes.banks.draft_rows import draft_of, draft_text, picture_data
from quizzes.banks.files.queries import bank_of_file, idle_uploads, uploads_for
from quizzes.banks.files.rules.preview import ImportPreview, look
from quizzes.banks.files.rules.zip_file import MOST_SENT
from quizzes.banks.rules.editing import put_file
from quizzes.facts import BankText
from quizzes.models import Bank, BankUpload, DraftChange, Picture
from shopsafe.act import act
from shopsafe.language.messages import _, marked, stored
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import locked, share_school
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

CHANGED = "draft.changed"
KEPT = timedelta(days=2)  # a file that no one takes over
MEANWHILE = marked(
    "Someone changed this bank since you looked at the file. Look at what is different now, then take it over."
)


@act
def send_bank_file(*, by: Person, name: str, content: bytes, at: datetime | None = None) -> BankUpload:
    """Keeps a file to be looked at. Those that came to nothing go: the teacher's own, and old ones.

    Refused: file.size (422).
    """
    access.allow(by, "edit a bank")
    if not content or len(content) > MOST_SENT:
        raise Refused("file.size", _("The file is empty, or larger than 10 MB. Choose another."), 422)
    share_school(by.school_id)
    at = act_moment(by.school_id, at)
    uploads_for(by).filter(bank=None).delete()
    idle_uploads(by, at - KEPT).delete()
    return BankUpload.objects.create(school=by.school, by=by, at=at, name=name[:80], content=content)


def take_over_file(*, by: Person, upload: UUID, revision: int, at: datetime | None = None) -> Bank:
    """The bank of the file becomes a draft: a new bank, or the next text of the one with its code.

    `revision` is that of the draft the teacher has seen beside the file, 0 where there was none. Twice is once.
    Refused: draft.changed (409); file.problems (422).
    """
    try:
        return _take_over(by=by, upload=upload, revision=revision, at=at)
    except IntegrityError as error:
        raise Refused(CHANGED, _(MEANWHILE)) from error


@act
def _take_over(*, by: Person, upload: UUID, revision: int, at: datetime | None) -> Bank:
    access.allow(by, "edit a bank")
    share_school(by.school_id)
    sent = access.one_of(locked(uploads_for(by)), pk=upload)
    if sent.bank_id is not None:
        return access.one_of(banks_for(by), pk=sent.bank_id)
    content = bytes(sent.content)
    here = bank_of_file(by, content, lock=True)
    at = act_moment(by.school_id, at)
    if (here.draft_revision if here else 0) != revision:
        raise Refused(CHANGED, _(MEANWHILE))
    looked = look(content, draft_of(here).pictures if here else {})
    if looked.bank is None:
        raise Refused("file.problems", _("The file can't be imported:  {problem}", problem=looked.problems[0]), 422)
    _keep_pictures(by, looked)
    bank = _next_text(here, looked.bank, looked, by, at) if here else _new(looked.bank, looked, by, at)
    sent.bank, sent.content = bank, b""
    sent.save(update_fields=["bank", "content"])
    return bank


def _keep_pictures(by: Person, looked: ImportPreview) -> None:
    for facts in looked.pictures.values():
        if facts.digest in looked.contents:
            kept = {"kind": facts.kind, "content": looked.contents[facts.digest]}
            Picture.objects.get_or_create(school=by.school, digest=facts.digest, defaults=kept)


def _new(text: BankText, looked: ImportPreview, by: Person, at: datetime) -> Bank:
    bank = Bank.objects.create(
        school=by.school,
        code=text.code,
        subject=text.subject,
        draft=draft_text(text),
        draft_pictures=picture_data(looked.pictures),
        draft_changed_at=at,
        draft_changed_by=by,
    )
    named = {"by": by.as_record(), "bank": {"id": bank.pk, "name": bank.subject}}
    append(kind="bank.added", school=by.school_id, at=at, payload=named | {"from": "file", "rules": len(text.rules)})
    return bank


def _next_text(bank: Bank, text: BankText, looked: ImportPreview, by: Person, at: datetime) -> Bank:
    before = draft_of(bank).bank
    after = put_file(before, text)
    if after == before and not looked.contents:
        return bank
    bank.draft, bank.subject, bank.draft_revision = draft_text(after), after.subject, bank.draft_revision + 1
    bank.draft_pictures = bank.draft_pictures | picture_data(looked.pictures)
    bank.draft_changed_at, bank.draft_changed_by = at, by
    bank.save(
        update_fields=["draft", "subject", "draft_revision", "draft_pictures", "draft_changed_at", "draft_changed_by"]
    )
    DraftChange.objects.create(
        bank=bank, revision=bank.draft_revision, by=by, at=at, says=stored("imported a bank file")
    )
    return bank
