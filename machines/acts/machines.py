"""Kinds of machine come from the banks that describe them; machines are set up in a shop and leave it."""

import json
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from machines.models import Asked, Machine, MachineKind, Requirements
from quizzes.models import Bank
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.models import Person, School, Shop
from shopsafe.school.refusals import Refused

DEED = "set up machines"
GENERAL = "general-shop-safety"
LISTS = ("protect", "pre_use", "demonstration", "tag_out", "stop_and_ask")


@transaction.atomic(durable=True)
def load_kinds(*, school: School, by: Person | None, at: datetime) -> list[MachineKind]:
    """A kind of machine for each bank of the school that describes one and has none yet; kinds that are there stay
    as they are. Each asks at first for general safety, where the school has that bank, and for its own quiz.

    `by` is None at the server's command line. Refused: access.not-yours.
    """
    if by is not None:
        allow(by, DEED)
        _is_here(by, school.pk)
    School.objects.select_for_update().get(pk=school.pk)
    there = set(MachineKind.objects.filter(school=school).values_list("code", flat=True))
    banks = list(Bank.objects.filter(school=school).order_by("pk"))
    general = next((bank for bank in banks if bank.code == GENERAL), None)
    made = []
    for bank in banks:
        described = json.loads(bank.draft).get("machine")
        if described and described["code"] not in there:
            made.append(_kind(school, bank, described))
            _first_requirements(made[-1], [general, bank], by, at)
            _record("kind.added", school.pk, by, at, machine_kind={"id": made[-1].pk, "name": made[-1].name})
    return made


def _kind(school: School, bank: Bank, described: dict[str, Any]) -> MachineKind:
    lists = {name: list(described.get(name, [])) for name in LISTS}
    return MachineKind.objects.create(
        school=school,
        bank=bank,
        code=described["code"],
        name=described["name"],
        stop=described["stop"],
        pictogram=described.get("pictogram", ""),
        **lists,
    )


def _first_requirements(kind: MachineKind, banks: list[Bank | None], by: Person | None, at: datetime) -> None:
    row = Requirements.objects.create(school=kind.school, kind=kind, holds_from=at, set_at=at, set_by=by)
    asked = [bank for bank in banks if bank is not None]
    Asked.objects.bulk_create(Asked(requirements=row, place=place, bank=bank) for place, bank in enumerate(asked))


@transaction.atomic(durable=True)
def add_machine(
    *, shop: Shop, kind: MachineKind, by: Person, at: datetime, number: int | None = None, name: str = ""
) -> Machine:
    """One machine comes into a shop; without a number it gets the next one. Refused: access.not-yours,
    machine.elsewhere, machine.number-taken."""
    allow(by, DEED, shop=shop)
    _is_here(by, kind.school_id)
    Shop.objects.select_for_update().get(pk=shop.pk)
    standing = Machine.objects.filter(shop=shop, retired_at=None)
    if number is None:
        number = (standing.aggregate(last=Max("number"))["last"] or 0) + 1
    if standing.filter(number=number).exists():
        raise Refused("machine.number-taken", f"Another machine in {shop.name} has the number {number}.", 422)
    machine = Machine.objects.create(
        school_id=shop.school_id, shop=shop, kind=kind, number=number, name=name.strip()[:80], added_at=at
    )
    _record("machine.added", shop.school_id, by, at, **_about(machine))
    return machine


@transaction.atomic(durable=True)
def retire_machine(*, machine: Machine, by: Person, at: datetime) -> Machine:
    """The machine leaves its shop; its records stay. Refused: access.not-yours, machine.retired."""
    allow(by, DEED, shop=machine.shop)
    row = Machine.objects.select_for_update(of=("self",)).select_related("kind", "shop").get(pk=machine.pk)
    if row.retired_at is not None:
        raise Refused("machine.retired", f"{row} has left the shop already.")
    row.retired_at = at
    row.save(update_fields=["retired_at"])
    _record("machine.retired", row.school_id, by, at, **_about(row))
    return row


def _is_here(by: Person, school_id: int) -> None:
    if by.school_id != school_id:
        raise Refused("machine.elsewhere", "That belongs to another school.", 403)


def _about(machine: Machine) -> dict[str, Any]:
    return {
        "machine": machine.as_record(),
        "machine_kind": {"id": machine.kind_id, "name": machine.kind.name},
        "shop": {"id": machine.shop_id, "name": machine.shop.name},
    }


def _record(kind: str, school_id: int, by: Person | None, at: datetime, **what: Any) -> None:
    who = {"by": by.as_record()} if by is not None else {}
    append(kind=kind, school=school_id, at=at, payload={**who, **what})
