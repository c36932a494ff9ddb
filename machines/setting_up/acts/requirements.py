"""A teacher says what a kind of machine, or one machine, asks for, from a day on."""

from collections.abc import Sequence
from copy import copy
from datetime import datetime
from typing import Any, Final

from machines.clearance.amounts import AMOUNTS
from machines.clearance.loading import asks_at
from machines.clearance.rules.wording import clock_text
from machines.models import Machine, MachineKind, Prerequisite, Requirements
from machines.setting_up.rules.graph import circle_in, named_path
from quizzes.models import Bank
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

DEED: Final = "set requirements"


@act
def set_requirements(
    *,
    wanted: Requirements,
    asked: Sequence[Bank | MachineKind | Machine],
    by: Person,
    at: datetime | None = None,
    seen: int | None = None,
) -> Requirements:
    """`wanted` is an unsaved row with kind, machine, holds_from and what it says; `asked` what it asks for first, in
    the order in which it is listed. Without holds_from it holds from the moment at which it is set. A row is added;
    earlier ones stay, so that the past can be asked for.

    `seen` is the last row that the asker's page was made from (0 for none): the second person reads who was
    first, and the same change sent twice is one. Refused: as may_be_set, requirements.changed.
    """
    _may(by, wanted.kind, wanted.machine)
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    last = _last(wanted)
    if seen is not None and last is not None and last.pk != seen:
        if last.set_by_id == by.pk and _says(last) == _says(wanted, asked):
            return last
        raise _changed(last)
    wanted = copy(wanted)  # the caller's stays unsaved, should the act run again
    wanted.holds_from = wanted.holds_from or at
    things = may_be_set(wanted=wanted, asked=asked, by=by, at=at)
    before = _says(last) | {"holds_from": last.holds_from} if last else None
    wanted.school_id, wanted.set_at, wanted.set_by = by.school_id, at, by
    wanted.save(force_insert=True)
    for thing in things:
        thing.requirements = wanted
    Prerequisite.objects.bulk_create(things)
    _record(wanted, asked, before, by, at)
    return wanted


@act
def count_once_for_kind(*, kind: MachineKind, by: Person, at: datetime | None = None) -> Requirements:
    """From now on one sign-off counts for every machine of this kind; all else that it asks for stays.

    Refused: access.not-yours, requirements.elsewhere.
    """
    _may(by, kind, None)
    if kind.school_id != by.school_id:
        raise Refused("requirements.elsewhere", _("That belongs to another school."), 403)
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    rows = Requirements.objects.filter(kind=kind, machine=None, holds_from__lte=at).order_by("holds_from", "pk")
    now = rows.last()
    if now is not None and now.demonstration == Requirements.Demonstration.KIND:
        return now
    asked = [row.bank or row.kind or row.machine for row in now.asked.all()] if now else [kind.bank]
    things = [thing for thing in asked if thing is not None]
    before = _says(now) | {"holds_from": now.holds_from} if now else None
    wanted = copy(now) if now else Requirements(kind=kind)
    wanted.pk, wanted.holds_from = None, at
    wanted.demonstration = Requirements.Demonstration.KIND
    wanted.school_id, wanted.set_at, wanted.set_by = by.school_id, at, by
    wanted.save(force_insert=True)
    new_rows = as_asked(things)
    for row in new_rows:
        row.requirements = wanted
    Prerequisite.objects.bulk_create(new_rows)
    _record(wanted, things, before, by, at)
    return wanted


def may_be_set(
    *, wanted: Requirements, asked: Sequence[Bank | MachineKind | Machine], by: Person, at: datetime
) -> list[Prerequisite]:
    """What stands against it is refused, nothing is written: for a look ahead. Returns `asked` as unsaved rows.

    Refused: access.not-yours, requirements.elsewhere, requirements.in-past, requirements.circle.
    """
    _may(by, wanted.kind, wanted.machine)
    if any(thing.school_id != by.school_id for thing in (wanted.kind, *asked)):
        raise Refused("requirements.elsewhere", _("That belongs to another school."), 403)
    if wanted.holds_from < at:
        raise Refused("requirements.in-past", _("Requirements can't hold from a day that has passed."), 422)
    things = as_asked(asked)
    no_circle(wanted, things)
    return things


def _last(requirements: Requirements) -> Requirements | None:
    """The row that was set last for the same kind or machine, whenever it holds from."""
    rows = Requirements.objects.filter(kind=requirements.kind, machine=requirements.machine).order_by("pk")
    return rows.select_related("set_by", "school", "kind", "machine").last()


def _changed(last: Requirements) -> Refused:
    who = last.set_by.name if last.set_by else _("The office")
    when = clock_text(last.set_at, last.school.time_zone)
    return Refused(
        "requirements.changed",
        _("{person} set this on {when}. Open the page again and check it first.", person=who, when=when),
    )


def _may(by: Person, kind: MachineKind, machine: Machine | None) -> None:
    """A machine's are set by a teacher of its shop; a kind's by a teacher of any shop that has one, or if none has."""
    allow(by, DEED, shop=machine.shop if machine else None)
    standing = Machine.objects.filter(kind=kind, retired_at=None)
    if machine is None and standing.exists() and not standing.filter(shop__teachers=by).exists():
        raise Refused("access.not-yours", _("Your shops have no machine of this kind."), 403)


def as_asked(asked: Sequence[Bank | MachineKind | Machine]) -> list[Prerequisite]:
    """Unsaved rows, in order."""
    rows = []
    for place, thing in enumerate(asked):
        row = Prerequisite(place=place)
        if isinstance(thing, Bank):
            row.bank = thing
        elif isinstance(thing, MachineKind):
            row.kind = thing
        else:
            row.machine = thing
        rows.append(row)
    return rows


def no_circle(requirements: Requirements, things: Sequence[Prerequisite]) -> None:
    """Refused where the machines would wait for each other: on the day it holds from, or once what is set for later
    has come into force too."""
    later = Requirements.objects.filter(school=requirements.kind.school_id, holds_from__gt=requirements.holds_from)
    for moment in [
        requirements.holds_from,
        *later.order_by("holds_from").values_list("holds_from", flat=True).distinct(),
    ]:
        asks = asks_at(requirements.kind.school_id, moment)
        since = asks.since.get((requirements.kind_id, requirements.machine_id))
        if since is None or since <= requirements.holds_from:
            asks = asks.with_change(requirements, things)
        if circle := circle_in(asks.asks_first()):
            raise Refused(
                "requirements.circle",
                _("That is a circle: {circle}. Leave one of them out.", circle=named_path(circle)),
            )


def _says(row: Requirements, asked: Sequence[Any] | None = None) -> dict[str, Any]:
    """What a row says, for the logbook; `asked` where it is not saved yet."""
    if asked is None:
        rows = row.asked.select_related("bank", "kind", "machine__kind").order_by("place")
        asked = [prerequisite.bank or prerequisite.kind or prerequisite.machine for prerequisite in rows]

    def named(of: type[Any]) -> list[dict[str, Any]]:
        return [{"id": thing.pk, "name": str(thing)} for thing in asked if isinstance(thing, of)]

    return {
        "banks": named(Bank),
        "machine_kinds": named(MachineKind),
        "machines": named(Machine),
        "agreement": row.agreement,
        "documents": row.documents,
        "demonstration": str(row.demonstration),
        "ends_with": str(row.ends_with),
        "as_kind": row.as_kind,
        **{column: getattr(row, column) for column in AMOUNTS},
    }


def _record(row: Requirements, asked: Sequence[Any], before: dict[str, Any] | None, by: Person, at: datetime) -> None:
    payload = {
        "machine_kind": {"id": row.kind_id, "name": row.kind.name},
        "by": by.as_record(),
        **_says(row, asked),
        "holds_from": row.holds_from,
        "from_day": local_day(row.holds_from, row.kind.school.time_zone),
        "before": before,
    }
    machine = {"machine": row.machine.as_record()} if row.machine else {}
    append(kind="requirements.set", school=row.school_id, at=at, payload=payload | machine)
