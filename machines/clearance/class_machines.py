"""Which machines a class uses: those of the types that its teacher chose, or every machine of its shop."""

from collections.abc import Iterable
from datetime import datetime

from machines.models import ClassMachines, Machine
from shopsafe.school.models import Section


def kinds_used(sections: Iterable[Section], at: datetime) -> dict[int, frozenset[int]]:
    """Class → the machine types that its teacher had chosen by `at`, where there is a choice. One query."""
    rows = ClassMachines.objects.filter(section__in=list(sections), set_at__lte=at).order_by("set_at", "pk")
    choices: dict[int, dict[int, set[int]]] = {}
    for section, choice, kind in rows.values_list("section", "pk", "kinds"):
        choices.setdefault(section, {}).setdefault(choice, set()).update({kind} - {None})
    return {section: frozenset(list(by_choice.values())[-1]) for section, by_choice in choices.items()}


def used_by(section: Section, machines: Iterable[Machine], kinds: dict[int, frozenset[int]]) -> list[Machine]:
    """Those of `machines` that stand in the shop of the class and that it uses, by `kinds_used`."""
    here = [machine for machine in machines if machine.shop_id == section.shop_id]
    if section.pk not in kinds:
        return here
    return [machine for machine in here if machine.kind_id in kinds[section.pk]]
