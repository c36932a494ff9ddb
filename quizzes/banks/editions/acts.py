"""Banks: publish the draft, or a shop's own number, as the next edition; accept an edition's rules; take that back.

Who reviewed an edition for the school is recorded beside its acceptance.
"""

from datetime import date, datetime

from django.db import IntegrityError
from django.http import Http404

from quizzes.access import reviews_for
from quizzes.banks.draft_rows import draft_of, draft_text
from quizzes.banks.editions.approved import current_approval
from quizzes.banks.editions.next_edition import (
    RACED,
    about_edition,
    earlier_passes,
    edition_record,
    may_approve,
    next_edition,
    open_bank,
)
from quizzes.banks.editions.texts import first_values, text_of
from quizzes.banks.pictures.files import picture_names
from quizzes.banks.rules.own_numbers import OwnNumber, unlikely_of, with_own_number
from quizzes.facts import BankText, EditionText
from quizzes.models import Acceptance, Bank, DraftChange, Edition, Review
from quizzes.questions.lengths import Unreadable
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused


def publish_edition(
    *,
    by: Person,
    bank: int,
    revision: int,
    earlier: str,
    until: date | None = None,
    accept: bool = False,
    at: datetime | None = None,
) -> Edition:
    """Makes the draft the next edition. `earlier` says of passes on earlier editions: count, until (a day), stop.

    `accept`: the teacher who publishes has read the rules and accepts them; without it the edition is practice only.
    Refused: publish.changed, publish.same, publish.raced (409); publish.check, publish.until (422); accept.no-shop.
    """
    try:
        return _publish(by=by, bank=bank, revision=revision, earlier=earlier, until=until, accept=accept, at=at)
    except IntegrityError as error:
        raise Refused("publish.raced", _(RACED)) from error


@act
def _publish(
    *, by: Person, bank: int, revision: int, earlier: str, until: date | None, accept: bool, at: datetime | None
) -> Edition:
    access.allow(by, "publish an edition")
    if accept:
        may_approve(by)
    stored_bank, at = open_bank(by, bank, at)
    last = stored_bank.editions.order_by("-number").first()
    if stored_bank.draft_revision != revision:
        raise Refused("publish.changed", _("The draft has changed since you opened it. Read it again, then publish."))
    edition = _next(stored_bank, last, by, at)
    edition.earlier_passes_count, edition.earlier_passes_until = earlier_passes(by, earlier, until, at)
    edition.save(force_insert=True)
    append(
        kind="edition.published",
        school=stored_bank.school_id,
        at=at,
        payload=edition_record(stored_bank, edition, by, approved=accept),
    )
    if accept:
        _accept(edition, by, at)
    return edition


def set_value(
    *, by: Person, bank: int, edition: int, value: str, own: OwnNumber, earlier: str, at: datetime | None = None
) -> Edition:
    """The shop's own number in a stored value: the next edition, which differs from edition number `edition` in this
    alone. The draft gets the same amount. It is accepted where that edition was: its teacher has checked it.

    Refused: value.newer, value.same (409); value.amount, value.unlikely, value.source, publish.check (422);
    accept.no-shop (403).
    """
    try:
        return _set_value(by=by, bank=bank, edition=edition, value=value, own=own, earlier=earlier, at=at)
    except IntegrityError as error:
        raise Refused("publish.raced", _(RACED)) from error


@act
def _set_value(
    *, by: Person, bank: int, edition: int, value: str, own: OwnNumber, earlier: str, at: datetime | None
) -> Edition:
    access.allow(by, "publish an edition")
    may_approve(by)
    stored_bank, at = open_bank(by, bank, at)
    last = access.one_of(stored_bank.editions.select_related("bank"), number=edition)
    if stored_bank.editions.filter(number__gt=edition).exists():
        raise Refused("value.newer", _("A new edition has come out since you looked. Look at its numbers first."))
    before = text_of(last)
    after = _own(last, value, own)
    new_edition = next_edition(stored_bank, last, EditionText(bank=after, pictures=before.pictures), by, at)
    new_edition.earlier_passes_count, new_edition.earlier_passes_until = earlier_passes(by, earlier, None, at)
    new_edition.save(force_insert=True)
    _also_in_draft(stored_bank, value, own, by, at)
    approved = current_approval(last) is not None
    append(
        kind="edition.published",
        school=stored_bank.school_id,
        at=at,
        payload=edition_record(stored_bank, new_edition, by, approved=approved),
    )
    says = after.value_by_code[value].says
    change = {"value": value, "says": says, "before": _reads(before.bank, value), "after": _reads(after, value)}
    number = {"amount": "; ".join(own.amounts), "source": own.source, "note": own.note}
    append(
        kind="value.set",
        school=stored_bank.school_id,
        at=at,
        payload=about_edition(stored_bank, new_edition, by) | change | number,
    )
    if approved:
        _accept(new_edition, by, at)
    return new_edition


def _own(last: Edition, value: str, own: OwnNumber) -> BankText:
    before = text_of(last)
    if value not in before.bank.value_by_code:
        raise Http404
    if not own.source.strip():
        raise Refused("value.source", _("Say where the number comes from: the manual, or a rule of your school."), 422)
    try:
        after = with_own_number(before.bank, value, own)
        wrong = unlikely_of(first_values(last)[value], own)
    except Unreadable as error:
        raise Refused("value.amount", error.sentence, 422) from error
    if wrong:
        raise Refused("value.unlikely", wrong, 422)
    if after == before.bank:
        raise Refused("value.same", _("That is the number there is."))
    return after


def _reads(bank: BankText, value: str) -> str:
    return bank.value_by_code[value].reads


def _also_in_draft(bank: Bank, value: str, own: OwnNumber, by: Person, at: datetime) -> None:
    draft = draft_of(bank).bank
    if value not in draft.value_by_code or (changed := with_own_number(draft, value, own)) == draft:
        return
    bank.draft, bank.draft_revision = draft_text(changed), bank.draft_revision + 1
    bank.draft_changed_at, bank.draft_changed_by = at, by
    bank.save(update_fields=["draft", "draft_revision", "draft_changed_at", "draft_changed_by"])
    says = f"set the shop's own {changed.value_by_code[value].says}"[:300]
    DraftChange.objects.create(bank=bank, revision=bank.draft_revision, by=by, at=at, says=says)


@act
def accept_bank(*, by: Person, bank: int, edition: int, at: datetime | None = None) -> Acceptance:
    """`by` has read the rules of edition number `edition` against the manual and the local rules, and accepts them.

    Accepting twice is once. Refused: access.not-yours, accept.no-shop (403), accept.newer (409). 404 for no edition.
    """
    may_approve(by)
    stored_bank, at = open_bank(by, bank, at)
    last = stored_bank.editions.select_related("bank").defer("content").order_by("-number").first()
    if last is None:
        raise Http404
    if last.number != edition:
        raise Refused(
            "accept.newer", _("Edition {number} has come out since you looked. Read that one.", number=last.number)
        )
    return current_approval(last) or _accept(last, by, at)


@act
def take_back_acceptance(*, by: Person, bank: int, reason: str, at: datetime | None = None) -> Acceptance:
    """The latest edition is practice only from now on, and passes on it stop counting while it is.

    Refused: access.not-yours, accept.no-shop (403), accept.reason (422), accept.not-accepted (409).
    """
    may_approve(by)
    stored_bank, at = open_bank(by, bank, at)
    if not reason.strip():
        raise Refused("accept.reason", _("Say why the rules are no longer accepted."), 422)
    last = stored_bank.editions.select_related("bank").defer("content").order_by("-number").first()
    standing = current_approval(last) if last else None
    if last is None or standing is None:
        raise Refused("accept.not-accepted", _("No one accepts this edition, so it is practice only already."))
    standing.taken_back_at, standing.taken_back_by = at, by
    standing.taken_back_reason = reason.strip()[:300]
    standing.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
    payload = about_edition(stored_bank, last, by) | {"reason": standing.taken_back_reason}
    append(kind="bank.acceptance_taken_back", school=stored_bank.school_id, at=at, payload=payload)
    return standing


@act
def record_review(
    *, by: Person, bank: int, edition: int, name: str, role: str, reviewed_on: date, at: datetime | None = None
) -> Review:
    """Someone has read the print of edition number `edition` and signed it on that day. Twice is once.

    Refused: access.not-yours, accept.no-shop (403); review.who, review.day (422); review.newer (409). 404: no edition.
    """
    may_approve(by)
    stored_bank, at = open_bank(by, bank, at)
    last = stored_bank.editions.select_related("bank").defer("content").order_by("-number").first()
    if last is None:
        raise Http404
    if last.number != edition:
        raise Refused(
            "review.newer", _("Edition {number} has come out since. Print that one for the review.", number=last.number)
        )
    name, role = name.strip(), role.strip()
    if not name or not role:
        raise Refused("review.who", _("Give the name and the role of the reviewer."), 422)
    zone = by.school.time_zone
    if not local_day(last.published_at, zone) <= reviewed_on <= local_day(at, zone):
        raise Refused(
            "review.day", _("Edition {number} came out later, or the day is still to come.", number=last.number), 422
        )
    known = last.reviews.filter(name=name, reviewed_on=reviewed_on, withdrawn_at=None).first()
    if known:
        return known
    review = Review.objects.create(
        school_id=last.school_id, edition=last, name=name, role=role, reviewed_on=reviewed_on, by=by, at=at
    )
    append(kind="bank.reviewed", school=last.school_id, at=at, payload=_about_review(review, by))
    return review


@act
def withdraw_review(*, by: Person, review: int, reason: str, at: datetime | None = None) -> Review:
    """It was recorded by mistake. The row stays, and says why.

    Refused: access.not-yours, accept.no-shop (403), review.reason (422), review.withdrawn (409).
    """
    may_approve(by)
    stored_review = access.one_of(reviews_for(by), pk=review)
    _bank, at = open_bank(by, stored_review.edition.bank_id, at)
    stored_review.refresh_from_db()
    if not reason.strip():
        raise Refused("review.reason", _("Say why the review is withdrawn."), 422)
    if stored_review.withdrawn_at:
        raise Refused("review.withdrawn", _("This review is withdrawn already."))
    stored_review.withdrawn_at, stored_review.withdrawn_by = at, by
    stored_review.withdrawn_reason = reason.strip()[:300]
    stored_review.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    payload = _about_review(stored_review, by) | {"reason": stored_review.withdrawn_reason}
    append(kind="bank.review_withdrawn", school=stored_review.school_id, at=at, payload=payload)
    return stored_review


def _about_review(review: Review, by: Person) -> dict[str, object]:
    review_facts = {
        "review": review.pk,
        "reviewer": review.name,
        "role": review.role,
        "reviewed_on": review.reviewed_on,
    }
    return about_edition(review.edition.bank, review.edition, by) | review_facts


def _accept(edition: Edition, by: Person, at: datetime) -> Acceptance:
    acceptance = Acceptance.objects.create(school_id=edition.school_id, edition=edition, by=by, at=at)
    append(kind="bank.accepted", school=edition.school_id, at=at, payload=about_edition(edition.bank, edition, by))
    return acceptance


def _next(bank: Bank, last: Edition | None, by: Person, at: datetime) -> Edition:
    """The edition to be, once its content is found fit and new."""
    draft = draft_of(bank)
    used = {name: draft.pictures[name] for name in picture_names(draft.bank) if name in draft.pictures}
    return next_edition(bank, last, EditionText(bank=draft.bank, pictures=used), by, at)
