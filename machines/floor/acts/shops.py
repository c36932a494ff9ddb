"""A shop is opened, a teacher confirms being there, another takes over, all runs are ended and allowed again."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError

from machines.clearance.rules.wording import clock_text
from machines.floor.facts import ShopStatus
from machines.floor.queries import OpenShop, open_runs, open_shop_of
from machines.floor.supervision import allow_floor, presence_payload
from machines.models import EndOfRuns, PresenceConfirmation, ShopOpening
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.logbook.queries import last_moment
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_clock, act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

Means = PresenceConfirmation.Means


def open_shop(*, shop: Shop, section: Section | None, by: Person, tap: UUID, at: datetime | None = None) -> ShopOpening:
    """`by` opens the shop for a class, or for none, and is there. An opening whose time is over ends as "left open".

    Refused: access.not-yours, floor.no-grant, opening.other-shop, opening.already, opening.runs-open, open.tap-used.
    """
    try:
        return _open_shop(shop, section, by, tap, at)
    except IntegrityError as race:
        raise Refused(
            "opening.already", _("{shop} was opened a moment ago. Look at the floor again.", shop=shop.name)
        ) from race


@act
def _open_shop(shop: Shop, section: Section | None, by: Person, tap: UUID, at: datetime | None) -> ShopOpening:
    lock(shop)
    clock, last = act_clock(at), last_moment(shop.school_id)
    at = act_moment(shop.school_id, at)
    allow_floor(by, shop, section.pk if section else None, at)
    if section is not None and section.shop_id != shop.pk:
        raise Refused("opening.other-shop", _("{section} is taught in another shop.", section=section.name), 422)
    if is_repeated(tap, "open", by=by, at=at, asked={"shop": shop.pk, "section": section.pk if section else None}):
        return ShopOpening.objects.get(tap=tap)
    standing = open_shop_of(shop.pk, last)
    if standing is not None:
        _leave(standing, by, at, clock)
    row = ShopOpening.objects.create(
        school_id=shop.school_id, shop=shop, section=section, opened_by=by, opened_at=at, tap=tap
    )
    presence = _confirm(row, by, Means.OPENED, at, clock)
    row.entry = presence.entry = append(
        kind="shop.opened", school=shop.school_id, at=at, payload=presence_payload(presence) | _of_class(row)
    )
    row.save(update_fields=["entry"])
    presence.save(update_fields=["entry"])
    return row


def _leave(standing: OpenShop, by: Person, at: datetime, clock: datetime) -> None:
    """End an opening that no one closed, once nothing runs on it. One that is open stays."""
    opening, state = standing.opening, standing.state(clock)
    if state.status != ShopStatus.PRESENCE_OVER:
        until = clock_text(standing.presence.at, opening.shop.school.time_zone)
        raise Refused("opening.already", _open_already(opening, standing.supervisor, until))
    running = list(open_runs(opening.shop_id))
    if running:
        names = ", ".join(f"{run.machine.spoken} ({run.student.name})" for run in running)
        raise Refused(
            "opening.runs-open",
            _("Still running on the list: {names}. Check each machine and mark it as stopped first.", names=names),
        )
    opening.closed_at, opening.closed_by, opening.closed_how = at, by, ShopOpening.ClosedBy.LEFT
    opening.save(update_fields=["closed_at", "closed_by", "closed_how"])
    payload = {**_of(opening, by), **_of_class(opening), "how": opening.closed_how, "answers": []}
    append(kind="shop.left_open", school=opening.school_id, at=at, payload=payload)


def _open_already(opening: ShopOpening, supervisor: Person, until: str) -> str:
    if opening.section is None:
        return _(
            "{shop} is open. {supervisor} confirmed being there on {until}. Take over, or close it first.",
            shop=opening.shop.name,
            supervisor=supervisor.name,
            until=until,
        )
    return _(
        "{shop} is open for {section}. {supervisor} confirmed being there on {until}. Take over, or close it first.",
        shop=opening.shop.name,
        section=opening.section.name,
        supervisor=supervisor.name,
        until=until,
    )


@act
def confirm_presence(*, shop: Shop, by: Person, tap: UUID, at: datetime | None = None) -> PresenceConfirmation:
    """The teacher who supervises is in the shop. Brings back a shop whose time ran out earlier the same day.

    Refused: access.not-yours, floor.no-grant, presence.closed, presence.another-day, presence.another,
    presence.tap-used.
    """
    return _present(shop, by, tap, at, Means.BUTTON)


@act
def take_over(*, shop: Shop, by: Person, tap: UUID, at: datetime | None = None) -> PresenceConfirmation:
    """A colleague is in the shop and supervises from now on. Refused: as `confirm_presence`, take-over.tap-used."""
    return _present(shop, by, tap, at, Means.TAKEN_OVER)


def _present(shop: Shop, by: Person, tap: UUID, at: datetime | None, means: str) -> PresenceConfirmation:
    lock(shop)
    clock, last = act_clock(at), last_moment(shop.school_id)
    at = act_moment(shop.school_id, at)
    now = _standing(shop, last)
    allow_floor(by, shop, now.opening.section_id, at)
    name = "take-over" if means == Means.TAKEN_OVER else "presence"
    if is_repeated(tap, name, by=by, at=at, asked={"shop": shop.pk}):
        return now.presence
    zone = now.opening.shop.school.time_zone
    if now.state(clock).status == ShopStatus.PRESENCE_OVER and local_day(now.presence.at, zone) != local_day(at, zone):
        raise Refused("presence.another-day", _("This was opened on another day. Open the shop again."))
    if now.supervisor.pk != by.pk and means == Means.BUTTON:
        raise Refused(
            "presence.another",
            _("{supervisor} supervises this shop. Take over by name first.", supervisor=now.supervisor.name),
        )
    row = _confirm(now.opening, by, means, at, clock)
    row.entry = append(kind="shop.presence", school=shop.school_id, at=at, payload=presence_payload(row))
    row.save(update_fields=["entry"])
    return row


def end_all_runs(*, shop: Shop, by: Person, tap: UUID, at: datetime | None = None) -> EndOfRuns:
    """Every tile says keep off. The program cuts no power: each open run stays on the list until a person has seen the
    machine stand still. Works also when presence is over. A second press is the same end.

    Refused: access.not-yours, floor.no-grant, presence.closed, end-all.tap-used.
    """
    return _end_all_runs(shop, by, tap, at)


@act
def _end_all_runs(shop: Shop, by: Person, tap: UUID, at: datetime | None) -> EndOfRuns:
    lock(shop)
    last = last_moment(shop.school_id)
    at = act_moment(shop.school_id, at)
    now = _standing(shop, last)
    allow_floor(by, shop, now.opening.section_id, at)
    if is_repeated(tap, "end-all", by=by, at=at, asked={"opening": now.opening.pk}):
        return EndOfRuns.objects.filter(opening=now.opening).order_by("pk")[0]
    standing = EndOfRuns.objects.filter(opening=now.opening, lifted_at=None).first()
    if standing is not None:
        return standing
    row = EndOfRuns.objects.create(school_id=shop.school_id, opening=now.opening, by=by, at=at, tap=tap)
    payload = {**_of(now.opening, by), "end": row.pk}
    row.entry = append(kind="runs.ended", school=shop.school_id, at=at, payload=payload)
    row.save(update_fields=["entry"])
    return row


@act
def allow_runs(*, shop: Shop, by: Person, tap: UUID, at: datetime | None = None) -> EndOfRuns:
    """Machines may be given again, once every open run is confirmed stopped.

    Refused: access.not-yours, floor.no-grant, presence.closed, allow.runs-open, allow.not-ended, allow.tap-used.
    """
    lock(shop)
    last = last_moment(shop.school_id)
    at = act_moment(shop.school_id, at)
    now = _standing(shop, last)
    allow_floor(by, shop, now.opening.section_id, at)
    if is_repeated(tap, "allow", by=by, at=at, asked={"opening": now.opening.pk}):
        return EndOfRuns.objects.filter(opening=now.opening).order_by("-pk")[0]
    row = EndOfRuns.objects.filter(opening=now.opening, lifted_at=None).first()
    if row is None:
        raise Refused("allow.not-ended", _("Machines may run already. Look at the floor again."))
    running = list(open_runs(shop.pk))
    if running:
        names = ", ".join(run.machine.spoken for run in running)
        raise Refused("allow.runs-open", _("Mark each machine as stopped first: {names}.", names=names))
    row.lifted_at, row.lifted_by = at, by
    row.save(update_fields=["lifted_at", "lifted_by"])
    append(kind="runs.allowed", school=shop.school_id, at=at, payload={**_of(now.opening, by), "end": row.pk})
    return row


def _standing(shop: Shop, last: datetime | None) -> OpenShop:
    now = open_shop_of(shop.pk, last)
    if now is None:
        raise Refused("presence.closed", _("{shop} is closed. Open it first.", shop=shop.name))
    return now


def _confirm(opening: ShopOpening, by: Person, means: str, at: datetime, clock: datetime) -> PresenceConfirmation:
    return PresenceConfirmation.objects.create(
        school_id=opening.school_id, opening=opening, by=by, means=means, at=at, clock=clock
    )


def _of(opening: ShopOpening, by: Person) -> dict[str, Any]:
    shop = {"id": opening.shop_id, "name": opening.shop.name}
    return {"shop": shop, "by": by.as_record(), "opening": opening.pk}


def _of_class(opening: ShopOpening) -> dict[str, Any]:
    return {"section": {"id": opening.section_id, "name": opening.section.name}} if opening.section else {}
