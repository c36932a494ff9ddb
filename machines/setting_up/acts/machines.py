"""Machines are set up in a shop, get another number or name, and leave it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from machines.models import Machine, MachineKind
from machines.setting_up.rules.starter_shops import free_numbers, wrong_number
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, Shop
from shopsafe.school.naming.entered import entered_name
from shopsafe.school.refusals import Refused

DEED: Final = "set up machines"


@dataclass(frozen=True)
class NewMachine:
    """A machine to be: its kind, the number painted on it, its own name if it has one."""

    kind: MachineKind
    number: int
    name: str = ""


@act
def add_machine(
    *, shop: Shop, kind: MachineKind, by: Person, at: datetime | None = None, number: int | None = None, name: str = ""
) -> Machine:
    """One machine comes into a shop; without a number it gets the next one. Refused: access.not-yours,
    machine.elsewhere, machine.number-taken."""
    taken = _opened(shop, [kind], by)
    at = act_moment(shop.school_id, at)
    [free] = free_numbers(taken, 1)
    return _add(shop, [NewMachine(kind, free if number is None else number, name)], taken, by, at)[0]


@act
def add_machines(*, shop: Shop, wanted: Sequence[NewMachine], by: Person, at: datetime | None = None) -> list[Machine]:
    """These machines come into a shop, all or none. Refused: access.not-yours, machine.elsewhere, machine.none,
    machine.number-taken, name.character."""
    taken = _opened(shop, [new_machine.kind for new_machine in wanted], by)
    at = act_moment(shop.school_id, at)
    if not wanted:
        raise Refused("machine.none", _("Say how many machines of which kind."), 422)
    return _add(shop, wanted, taken, by, at)


def _opened(shop: Shop, kinds: Sequence[MachineKind], by: Person) -> set[int]:
    """The numbers that are in the shop. No one else gives one out until the act is done."""
    allow(by, DEED, shop=shop)
    if any(kind.school_id != by.school_id for kind in kinds):
        raise Refused("machine.elsewhere", _("That belongs to another school."), 403)
    lock_school(shop.school_id)
    return _numbers(shop)


def _numbers(shop: Shop) -> set[int]:
    return set(Machine.objects.filter(shop=shop, retired_at=None).values_list("number", flat=True))


def _add(shop: Shop, new_machines: Sequence[NewMachine], taken: set[int], by: Person, at: datetime) -> list[Machine]:
    _may_have([new_machine.number for new_machine in new_machines], taken, shop)
    machines = []
    for new_machine in new_machines:
        name = entered_name(new_machine.name, _("The name of machine {number}", number=new_machine.number))[:80]
        fields = {"kind": new_machine.kind, "number": new_machine.number, "name": name, "added_at": at}
        machines.append(Machine.objects.create(school_id=shop.school_id, shop=shop, **fields))
        _record("machine.added", machines[-1], by, at)
    return machines


def _may_have(numbers: Sequence[int], taken: set[int], shop: Shop) -> None:
    wrong = wrong_number(numbers, taken)
    if wrong is None:
        return
    if wrong in taken or wrong in numbers[numbers.index(wrong) + 1 :]:
        raise Refused(
            "machine.number-taken",
            _("Another machine in {shop} has the number {number}.", shop=shop.name, number=wrong),
            422,
        )
    raise Refused("machine.number", _("A machine's number is from 1 to 999."), 422)


@act
def rename_machine(*, machine: Machine, number: int, name: str, by: Person, at: datetime | None = None) -> Machine:
    """Another number or name; with the same ones nothing happens. What was recorded keeps the name it had then.

    Refused: access.not-yours, machine.retired, machine.number-taken, machine.number, name.character.
    """
    allow(by, DEED, shop=machine.shop)
    row = _standing(machine)
    at = act_moment(row.school_id, at)
    name = entered_name(name, _("The name of the machine"))[:80]
    if (row.number, row.name) == (number, name):
        return row
    _may_have([number], _numbers(row.shop) - {row.number}, row.shop)
    before = str(row)
    row.number, row.name = number, name
    row.save(update_fields=["number", "name"])
    _record("machine.renamed", row, by, at, before=before)
    return row


@act
def retire_machine(*, machine: Machine, by: Person, at: datetime | None = None) -> Machine:
    """The machine leaves its shop; its records stay. Refused: access.not-yours, machine.retired."""
    allow(by, DEED, shop=machine.shop)
    row = _standing(machine)
    at = act_moment(row.school_id, at)
    row.retired_at = at
    row.save(update_fields=["retired_at"])
    _record("machine.retired", row, by, at)
    return row


def _standing(machine: Machine) -> Machine:
    lock_school(machine.school_id, machine)
    row = Machine.objects.select_related("kind", "shop").get(pk=machine.pk)
    if row.retired_at is not None:
        raise Refused("machine.retired", _("{machine} has left the shop already.", machine=row))
    return row


def _record(kind: str, machine: Machine, by: Person, at: datetime, **more: Any) -> None:
    payload = {
        "by": by.as_record(),
        "machine": machine.as_record(),
        "machine_kind": {"id": machine.kind_id, "name": machine.kind.name},
        "shop": {"id": machine.shop_id, "name": machine.shop.name},
    }
    append(kind=kind, school=machine.school_id, at=at, payload=payload | more)
