"""A teacher signs off a demonstration, undoes it within ten minutes, or withdraws it later with a reason."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.db import IntegrityError

from machines.clearance.facts import ClearanceResult
from machines.clearance.out_of_use import in_use_refusal
from machines.clearance.queries import answer_for
from machines.clearance.records import standing_sign_off
from machines.clearance.rules import evaluation
from machines.clearance.rules.wording import clock_text
from machines.floor.supervision import confirm_by_deed, presence_payload
from machines.models import Machine, PresenceConfirmation, SignOff
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.language.stored import shown_and_stored
from shopsafe.logbook.append import append
from shopsafe.logbook.queries import last_moment
from shopsafe.school.access import allow, allow_with
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_clock, act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Term
from shopsafe.school.people.classes import terms_in_shop
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

DEED: Final = "sign off"


def sign_off(
    *, student: Person, machine: Machine, by: Person, ticked: Sequence[str], tap: UUID, at: datetime | None = None
) -> SignOff:
    """The demonstration of `student` at `machine` was complete: `by` watched every point, ticked as worded.

    `tap` is made by the page for one tap: sent again, it gives the same sign-off. Refused: access.not-yours,
    sign-off.no-student, sign-off.point-unticked, sign-off.points-changed, sign-off.tagged-out, sign-off.kept-off,
    sign-off.no-class, sign-off.already, sign-off.not-ready, sign-off.retired, sign-off.tap-used.
    """
    try:
        return _sign_off(student, machine, by, list(ticked), tap, at)
    except IntegrityError as race:
        # Two at once: the database let one through. The second person reads who was first.
        raise _already(student, machine, standing_sign_off(student, machine)) from race


@act
def _sign_off(
    student: Person, machine: Machine, by: Person, ticked: list[str], tap: UUID, at: datetime | None
) -> SignOff:
    _may(by, machine, student)
    lock(student, machine)
    clock, last = act_clock(at), last_moment(machine.school_id)
    at = act_moment(machine.school_id, at)
    asked = {"student": student.pk, "machine": machine.pk, "points": sorted(ticked)}
    if is_repeated(tap, "sign-off", by=by, at=at, asked=asked):
        return SignOff.objects.get(tap=tap)
    _all_points(machine, ticked)
    term = _term_of(student, machine, at)
    answer, stored_answer = shown_and_stored(lambda: answer_for(student, machine, at))
    before = standing_sign_off(student, machine)
    _is_ready(answer, student, machine, before)
    new_sign_off = SignOff.objects.create(
        school_id=machine.school_id,
        student=student,
        machine=machine,
        kind_id=machine.kind_id,
        term=term,
        by=by,
        at=at,
        points=ticked,
        tap=tap,
        renews=before,
    )
    rests_on = [{"sentence": ground.sentence, "entry": ground.ref} for ground in stored_answer.grounds]
    new_sign_off.entry = _record(
        "signoff.made", new_sign_off, by, at, points=ticked, rests_on=rests_on, term=_term(term)
    )
    new_sign_off.save(update_fields=["entry"])
    _keep_open(machine, by, at, clock, last)
    return new_sign_off


def stopped(*, student: Person, machine: Machine, at: datetime) -> Refused | None:
    """What stands against a sign-off before any point is watched, as the act would say it; None where nothing does."""
    try:
        _term_of(student, machine, at)
        before = standing_sign_off(student, machine)
        _is_ready(answer_for(student, machine, at), student, machine, before)
    except Refused as refusal:
        return refusal
    return None


@act
def undo_sign_off(*, sign_off: SignOff, by: Person, at: datetime | None = None) -> SignOff:
    """The wrong student, the wrong machine: gone, within ten minutes, by its signer. A second call changes nothing.

    Refused: access.not-yours, undo.not-yours, undo.too-late, sign-off.gone.
    """
    _may(by, sign_off.machine, sign_off.student)
    row = _locked(sign_off)
    at = act_moment(row.school_id, at)
    if row.undone_at is not None:
        return row
    if row.by_id != by.pk:
        raise Refused(
            "undo.not-yours", _("Only {teacher} can undo this. You can withdraw it with a reason.", teacher=row.by.name)
        )
    _still_stands(row)
    if at >= row.undo_until:
        raise Refused("undo.too-late", _("The ten minutes are over. You can withdraw it with a reason."))
    row.undone_at, row.undone_by = at, by
    row.save(update_fields=["undone_at", "undone_by"])
    _record("signoff.undone", row, by, at)
    return row


@act
def withdraw_sign_off(
    *, sign_off: SignOff, by: Person, reason: str, tap: UUID | None = None, at: datetime | None = None
) -> SignOff:
    """A teacher of the shop takes a sign-off back. Both it and the reason stay on record. A `tap` sent again is one
    withdrawal.

    Refused: access.not-yours, withdraw.no-reason, withdraw.tap-used, sign-off.gone.
    """
    _may(by, sign_off.machine, sign_off.student)
    row = _locked(sign_off)
    at = act_moment(row.school_id, at)
    asked = {"sign_off": row.pk, "reason": reason.strip()}
    if tap is not None and is_repeated(tap, "withdraw", by=by, at=at, asked=asked):
        return row
    if not reason.strip():
        raise Refused("withdraw.no-reason", _("Say why you withdraw this sign-off."), 422)
    _still_stands(row)
    row.withdrawn_at, row.withdrawn_by, row.withdrawn_reason = at, by, reason.strip()[:300]
    row.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    _record("signoff.withdrawn", row, by, at, reason=row.withdrawn_reason)
    return row


def _keep_open(machine: Machine, by: Person, at: datetime, clock: datetime, last: datetime | None) -> None:
    """A sign-off says that its teacher is in the shop."""
    presence = confirm_by_deed(machine.shop_id, by, PresenceConfirmation.Means.SIGN_OFF, at, clock, last)
    if presence is not None:
        payload = presence_payload(presence)
        presence.entry = append(kind="shop.presence", school=presence.school_id, at=at, payload=payload)
        presence.save(update_fields=["entry"])


def _may(by: Person, machine: Machine, student: Person) -> None:
    allow(by, DEED, shop=machine.shop)
    allow_with(by, DEED, student)
    if not student.is_student:
        raise Refused("sign-off.no-student", _("Only a student can be signed off."), 422)


def _all_points(machine: Machine, ticked: list[str]) -> None:
    asked = machine.kind.demonstration
    if not set(ticked) <= set(asked):
        raise Refused("sign-off.points-changed", _("The points of this demonstration have changed. Check them again."))
    missing = [point for point in asked if point not in ticked]
    if missing:
        raise Refused(
            "sign-off.point-unticked",
            _("Not checked yet: “{point}”. Check each point you watched.", point=missing[0]),
            422,
        )


def _term_of(student: Person, machine: Machine, at: datetime) -> Term:
    """The term of the student's class in this shop. A machine no one may touch is refused here too."""
    if machine.retired_at is not None:
        raise Refused("sign-off.retired", _("{machine} has left the shop.", machine=machine))
    if refusal := in_use_refusal(machine, "sign-off"):
        raise refusal
    day = local_day(at, machine.school.time_zone)
    term = terms_in_shop(student, machine.shop_id, day).order_by("last_day").last()
    if term is None:
        raise Refused("sign-off.no-class", _("{student} is in no class of this shop today.", student=student.name))
    return term


def _is_ready(answer: ClearanceResult, student: Person, machine: Machine, before: SignOff | None) -> None:
    """`before` is the sign-off of this machine that stands: only where it has run out, another may renew it."""
    missing = {reason.code for reason in answer.reasons}
    if answer.cleared or (before is not None and "demonstration.missing" in missing):
        raise _already(student, machine, before)
    if not evaluation.may_be_signed_off(answer):
        why = next(reason for reason in answer.reasons if reason.code not in evaluation.CLOSED_BY_SIGN_OFF)
        raise Refused(
            "sign-off.not-ready",
            _("{student} is not ready for sign-off on this machine. {why}", student=student.name, why=why.for_staff),
        )


def _already(student: Person, machine: Machine, standing: SignOff | None) -> Refused:
    if standing is None:
        return Refused(
            "sign-off.already",
            _("{student} is cleared on {machine} already.", student=student.name, machine=machine.spoken),
        )
    when = clock_text(standing.at, machine.school.time_zone)
    return Refused(
        "sign-off.already",
        _(
            "{teacher} signed off {student} on {machine} on {when}.",
            teacher=standing.by.name,
            student=student.name,
            machine=machine.spoken,
            when=when,
        ),
    )


def _locked(sign_off: SignOff) -> SignOff:
    lock(sign_off.student, sign_off.machine)
    return SignOff.objects.select_related("by", "machine__kind", "machine__school", "student").get(pk=sign_off.pk)


def _still_stands(row: SignOff) -> None:
    if not row.stands:
        raise Refused("sign-off.gone", _("This sign-off was withdrawn already."))


def _term(term: Term) -> dict[str, Any]:
    return {"id": term.pk, "name": term.name}


def _record(kind: str, row: SignOff, by: Person, at: datetime, **more: Any) -> Any:
    payload = {
        "student": row.student.as_record(),
        "machine": row.machine.as_record(),
        "machine_kind": {"id": row.kind_id, "name": row.machine.kind.name},
        "by": by.as_record(),
        "sign_off": row.pk,
        **more,
    }
    return append(kind=kind, school=row.school_id, at=at, payload=payload)
