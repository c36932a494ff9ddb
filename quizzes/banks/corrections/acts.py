"""Corrections of starter banks: offer one to a school that has the bank; take it by rule, as an edition; decline it."""

from collections.abc import Collection
from datetime import date, datetime
from pathlib import Path

from django.db import IntegrityError

from quizzes.banks.corrections.queries import corrections_for, starter_text, texts_of
from quizzes.banks.corrections.rules import corrections_of, merged, summary_of
from quizzes.banks.draft_rows import draft_of, draft_text, picture_data
from quizzes.banks.editions.next_edition import (
    RACED,
    about_edition,
    earlier_passes,
    edition_record,
    may_approve,
    next_edition,
    open_bank,
)
from quizzes.banks.editions.starter_banks import keep_picture, shelf_texts
from quizzes.banks.editions.texts import frozen, text_of
from quizzes.banks.pictures.files import picture_names
from quizzes.facts import BankText, EditionText
from quizzes.models import Acceptance, Bank, DraftChange, Edition, StarterCorrection
from shopsafe.act import act
from shopsafe.language.messages import _, marked, stored
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, School
from shopsafe.school.refusals import Refused

NEWER = marked("Edition {number} was published since you opened this page. Reload the page.")
DECIDED = marked("Someone decided about this correction a moment ago. Open the bank to see how.")


@act
def offer_corrections(*, school: School, shelf: Path, at: datetime | None = None) -> list[StarterCorrection]:
    """Offers the school each starter bank that was corrected since the school got it; returns what is new.

    An offer that no one has decided gives way to a later one. What the school has already, or has declined, is not
    offered again. Raises BankFileError or NoPicture for a shelf that is broken.
    """
    texts = {text.code: text for text in shelf_texts(shelf)}
    lock_school(school.pk)
    at = act_moment(school.pk, at)
    first = Edition.objects.filter(number=1, published_by=None).values("bank")
    banks = Bank.objects.filter(school=school, code__in=texts, pk__in=first).defer("draft")
    offers = [_offer(bank, texts[bank.code], shelf, at) for bank in banks]
    return [offer for offer in offers if offer]


def _offer(bank: Bank, text: BankText, shelf: Path, at: datetime) -> StarterCorrection | None:
    pictures = {
        name: keep_picture(bank.school, name, (shelf / "pictures" / name).read_bytes()) for name in picture_names(text)
    }
    content, digest = frozen(text, pictures)
    if bank.editions.filter(digest=digest).exists() or bank.corrections.filter(digest=digest).exists():
        return None
    shop = text_of(bank.editions.order_by("-number")[0])
    corrections = corrections_of(starter_text(bank), EditionText(bank=text, pictures=pictures), shop)
    if not corrections:
        return None
    bank.corrections.filter(decided_at=None).delete()
    summary = summary_of(corrections)
    offer = StarterCorrection.objects.create(
        school_id=bank.school_id, bank=bank, digest=digest, content=content, summary=summary, offered_at=at
    )
    payload = {"bank": {"id": bank.pk, "name": bank.subject}, "digest": digest, "corrections": summary}
    append(kind="bank.correction_offered", school=bank.school_id, at=at, payload=payload)
    return offer


def take_corrections(
    *,
    by: Person,
    correction: int,
    edition: int,
    rules: Collection[str],
    earlier: str,
    until: date | None = None,
    accept: bool = False,
    at: datetime | None = None,
) -> Edition:
    """The bank with the corrections of these rules, as its next edition. The draft gets them too.

    `edition` is the number of the edition that the teacher has looked at; `earlier`, `until` and `accept` as where a
    draft is published. Refused: correction.decided, correction.newer, publish.raced (409); correction.nothing,
    publish.check, publish.until (422); accept.no-shop (403).
    """
    try:
        return _take(
            by=by,
            correction=correction,
            edition=edition,
            rules=rules,
            earlier=earlier,
            until=until,
            accept=accept,
            at=at,
        )
    except IntegrityError as error:
        raise Refused("publish.raced", _(RACED)) from error


@act
def _take(
    *,
    by: Person,
    correction: int,
    edition: int,
    rules: Collection[str],
    earlier: str,
    until: date | None,
    accept: bool,
    at: datetime | None,
) -> Edition:
    access.allow(by, "publish an edition")
    if accept:
        may_approve(by)
    offer, bank, at = _open_offer(by, correction, at)
    texts = texts_of(offer)
    if texts.edition.number != edition:
        raise Refused("correction.newer", _(NEWER, number=texts.edition.number))
    taken = [rule_correction for rule_correction in texts.corrections if rule_correction.rule in rules]
    if not taken:
        raise Refused("correction.nothing", _("Choose at least one rule, or decline the correction."), 422)
    codes = [rule_correction.rule for rule_correction in taken]
    after = merged(texts.base, texts.new, texts.shop, codes)
    used = {name: after.pictures[name] for name in picture_names(after.bank) if name in after.pictures}
    new_edition = next_edition(bank, texts.edition, EditionText(bank=after.bank, pictures=used), by, at)
    new_edition.earlier_passes_count, new_edition.earlier_passes_until = earlier_passes(by, earlier, until, at)
    new_edition.save(force_insert=True)
    _also_in_draft(bank, texts.base, texts.new, codes, by, at)
    offer.decided_at, offer.decided_by, offer.taken, offer.edition = at, by, codes, new_edition
    offer.save(update_fields=["decided_at", "decided_by", "taken", "edition"])
    named = {"corrections": summary_of(taken)}
    published = edition_record(bank, new_edition, by, approved=accept)
    append(kind="edition.published", school=bank.school_id, at=at, payload=published)
    append(kind="bank.corrected", school=bank.school_id, at=at, payload=about_edition(bank, new_edition, by) | named)
    if accept:
        Acceptance.objects.create(school_id=bank.school_id, edition=new_edition, by=by, at=at)
        append(kind="bank.accepted", school=bank.school_id, at=at, payload=about_edition(bank, new_edition, by))
    return new_edition


def _also_in_draft(
    bank: Bank, base: EditionText, new: EditionText, codes: Collection[str], by: Person, at: datetime
) -> None:
    draft = draft_of(bank)
    after = merged(base, new, draft, codes)
    bank.draft, bank.draft_pictures, bank.subject = (
        draft_text(after.bank),
        picture_data(after.pictures),
        after.bank.subject,
    )
    bank.draft_revision, bank.draft_changed_at, bank.draft_changed_by = bank.draft_revision + 1, at, by
    bank.save(
        update_fields=[
            "draft",
            "draft_pictures",
            "subject",
            "draft_revision",
            "draft_changed_at",
            "draft_changed_by",
        ],
    )
    says = stored(f"took corrections of the starter bank, {len(codes)} of its rules")
    DraftChange.objects.create(bank=bank, revision=bank.draft_revision, by=by, at=at, says=says)


@act
def decline_corrections(*, by: Person, correction: int, reason: str, at: datetime | None = None) -> StarterCorrection:
    """The school keeps its bank as it is, and says why. A later correction is offered again.

    Refused: correction.decided (409), correction.reason (422).
    """
    access.allow(by, "publish an edition")
    may_approve(by)
    offer, bank, at = _open_offer(by, correction, at)
    if not reason.strip():
        raise Refused("correction.reason", _("Say why your shop keeps its own text."), 422)
    offer.decided_at, offer.decided_by, offer.reason = at, by, reason.strip()[:300]
    offer.save(update_fields=["decided_at", "decided_by", "reason"])
    payload = {
        "by": by.as_record(),
        "bank": {"id": bank.pk, "name": bank.subject},
        "digest": offer.digest,
        "corrections": offer.summary,
        "reason": offer.reason,
    }
    append(kind="bank.correction_declined", school=bank.school_id, at=at, payload=payload)
    return offer


def _open_offer(by: Person, correction: int, at: datetime | None) -> tuple[StarterCorrection, Bank, datetime]:
    """The offer that waits, its bank and the moment, with the school held alone."""
    bank, at = open_bank(by, access.one_of(corrections_for(by), pk=correction).bank_id, at)
    offer = access.one_of(corrections_for(by), pk=correction)
    if offer.decided_at is not None:
        raise Refused("correction.decided", _(DECIDED))
    offer.bank = bank
    return offer, bank, at
