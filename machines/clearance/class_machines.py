"""Which machines a class uses: those of the types that its teacher chose, or every machine of its shop."""

from collections.abc import Iterable
from datetime import datetime

from machines.models import Machine
from shopsafe.database.plain_rows import moment, plain_rows
from shopsafe.school.models import Section

# One row a machine type that a class chose by then, or one for a choice of none.
CHOICES = """
SELECT choice.section_id, choice.id, CAST(choice.set_at AS text), chosen.machinekind_id
  FROM machines_classmachines choice
  LEFT JOIN machines_classmachines_kinds chosen ON chosen.classmachines_id = choice.id
 WHERE choice.section_id IN ({ids}) AND choice.set_at <= %(at)s
"""


def kinds_used(sections: Iterable[Section], at: datetime) -> dict[int, frozenset[int]]:
    """Class → the machine types that its teacher had chosen by `at`, where there is a choice. One query."""
    choices: dict[int, dict[tuple[datetime, int], set[int]]] = {}
    for section, choice, set_at, kind in plain_rows(CHOICES, [section.pk for section in sections], at):
        choices.setdefault(section, {}).setdefault((moment(set_at), choice), set()).update({kind} - {None})
    return {section: frozenset(by_choice[max(by_choice)]) for section, by_choice in choices.items()}


def used_by(section: Section, machines: Iterable[Machine], kinds: dict[int, frozenset[int]]) -> list[Machine]:
    """Those of `machines` that are in the shop of the class and that it uses, by `kinds_used`."""
    here = [machine for machine in machines if machine.shop_id == section.shop_id]
    if section.pk not in kinds:
        return here
    return [machine for machine in here if machine.kind_id in kinds[section.pk]]
