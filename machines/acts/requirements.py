"""A teacher says what a kind of machine, or one machine, asks for, from a day on."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from machines.graph import circle_in, named_path
from machines.models import Asked, Machine, MachineKind, Requirements
from machines.queries import plan_at
from quizzes.models import Bank
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.models import Person, School
from shopsafe.school.refusals import Refused

DEED = "set requirements"


@transaction.atomic(durable=True)
def set_requirements(
    *, wanted: Requirements, asked: Sequence[Bank | MachineKind | Machine], by: Person, at: datetime
) -> Requirements:
    """`wanted` is an unsaved row with kind, machine, holds_from and what it says; `asked` what it asks for first, in
    the order in which it is told. A row is added; earlier ones stay, so that the past can be asked for.

    Refused: access.not-yours, requirements.elsewhere, requirements.in-past, requirements.circle.
    """
    _may(by, wanted.kind, wanted.machine)
    School.objects.select_for_update().get(pk=by.school_id)
    if any(thing.school_id != by.school_id for thing in (wanted.kind, *asked)):
        raise Refused("requirements.elsewhere", "That belongs to another school.", 403)
    if wanted.holds_from < at:
        raise Refused("requirements.in-past", "Requirements can't hold from a day that has passed.", 422)
    things = as_asked(asked)
    no_circle(wanted, things)
    wanted.school_id, wanted.set_at, wanted.set_by = by.school_id, at, by
    wanted.save(force_insert=True)
    for thing in things:
        thing.requirements = wanted
    Asked.objects.bulk_create(things)
    _record(wanted, asked, by, at)
    return wanted


def _may(by: Person, kind: MachineKind, machine: Machine | None) -> None:
    """A machine's are set by a teacher of its shop; a kind's by a teacher of any shop that has one, or if none has."""
    allow(by, DEED, shop=machine.shop if machine else None)
    standing = Machine.objects.filter(kind=kind, retired_at=None)
    if machine is None and standing.exists() and not standing.filter(shop__teachers=by).exists():
        raise Refused("access.not-yours", "Your shops have no machine of this kind.", 403)


def as_asked(asked: Sequence[Bank | MachineKind | Machine]) -> list[Asked]:
    """Unsaved rows, in order."""
    rows = []
    for place, thing in enumerate(asked):
        row = Asked(place=place)
        if isinstance(thing, Bank):
            row.bank = thing
        elif isinstance(thing, MachineKind):
            row.kind = thing
        else:
            row.machine = thing
        rows.append(row)
    return rows


def no_circle(wanted: Requirements, things: Sequence[Asked]) -> None:
    """Refused where the machines would wait for each other: on the day it holds from, or once what is set for later
    has come into force too."""
    later = Requirements.objects.filter(school=wanted.kind.school_id, holds_from__gt=wanted.holds_from)
    for moment in [wanted.holds_from, *later.order_by("holds_from").values_list("holds_from", flat=True).distinct()]:
        plan = plan_at(wanted.kind.school_id, moment)
        now = plan.rows.get((wanted.kind_id, wanted.machine_id))
        if now is None or now.holds_from <= wanted.holds_from:
            plan = plan.with_change(wanted, things)
        if circle := circle_in(plan.asks_first()):
            raise Refused("requirements.circle", f"That is a circle: {named_path(circle)}. Leave one of them out.")


def _record(row: Requirements, asked: Sequence[Any], by: Person, at: datetime) -> None:
    def named(of: type[Any]) -> list[dict[str, Any]]:
        return [{"id": thing.pk, "name": str(thing)} for thing in asked if isinstance(thing, of)]

    payload = {
        "machine_kind": {"id": row.kind_id, "name": row.kind.name},
        "by": by.as_record(),
        "banks": named(Bank),
        "machine_kinds": named(MachineKind),
        "machines": named(Machine),
        "agreement": row.agreement,
        "demonstration": row.demonstration,
        "ends_with": row.ends_with,
        "refresh_days": row.refresh_days,
        "unused_days": row.unused_days,
        "as_kind": row.as_kind,
        "holds_from": row.holds_from,
    }
    machine = {"machine": row.machine.as_record()} if row.machine else {}
    append(kind="requirements.set", school=row.school_id, at=at, payload=payload | machine)
