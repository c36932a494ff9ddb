"""What a teacher sets a shop up from: the starter shops, the kinds of the school, banks without a kind."""

from pathlib import Path

from django.conf import settings
from django.db.models import QuerySet

from machines.models import Machine, MachineKind
from machines.setting_up.rules.starter_shops import StarterShop, read_starter_shops
from quizzes.access import banks_for
from quizzes.models import Bank
from shopsafe.school.models import Person, Shop


def starter_shops() -> tuple[StarterShop, ...]:
    return read_starter_shops(Path(settings.SHELF, "starter-shops.toml").read_text(encoding="utf-8"))


def kinds_of(person: Person) -> QuerySet[MachineKind]:
    return MachineKind.objects.filter(school=person.school_id).order_by("name")


def banks_without_kind(person: Person) -> QuerySet[Bank]:
    return banks_for(person).filter(machine_kinds=None).order_by("subject")


def numbers_in(shop: Shop) -> list[int]:
    """The numbers of the machines that stand in a shop."""
    return list(Machine.objects.filter(shop=shop, retired_at=None).values_list("number", flat=True))
