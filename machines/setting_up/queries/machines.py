"""What a teacher sets a shop up from: the starter shops, the kinds of the school, banks without a kind."""

from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db.models import QuerySet

from machines.clearance.class_machines import kinds_used
from machines.clearance.queries import machines_of
from machines.models import Machine, MachineKind
from machines.setting_up.rules.starter_shops import StarterShop, read_starter_shops
from quizzes.access import banks_for
from quizzes.models import Bank
from shopsafe.school.models import Person, Section, Shop


def starter_shops() -> tuple[StarterShop, ...]:
    return read_starter_shops(Path(settings.SHELF, "starter-shops.toml").read_text(encoding="utf-8"))


def kinds_of(person: Person) -> QuerySet[MachineKind]:
    return MachineKind.objects.filter(school=person.school_id).order_by("name")


def banks_without_kind(person: Person) -> QuerySet[Bank]:
    return banks_for(person).filter(machine_kinds=None).order_by("subject")


def numbers_in(shop: Shop) -> list[int]:
    """The numbers of the machines that are in a shop."""
    return list(Machine.objects.filter(shop=shop, retired_at=None).values_list("number", flat=True))


def kinds_in_shop(section: Section, at: datetime) -> tuple[list[tuple[MachineKind, str]], list[int]]:
    """The machine types in the shop of a class, each with its machines ("Drill press 1 and 2"), and those it uses."""
    numbers: dict[MachineKind, list[int]] = {}
    for machine in machines_of(section.shop_id, at):
        numbers.setdefault(machine.kind, []).append(machine.number)
    rows = [(kind, f"{kind.name} {', '.join(map(str, of_kind))}") for kind, of_kind in numbers.items()]
    rows.sort(key=lambda row: row[0].name)
    used = kinds_used([section], at).get(section.pk)
    return rows, [kind.pk for kind, _ in rows if used is None or kind.pk in used]
