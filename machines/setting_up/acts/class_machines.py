"""A teacher says which machine types a class uses."""

from collections.abc import Sequence
from datetime import datetime

from machines.clearance.loading import asks_at
from machines.models import ClassMachines, MachineKind
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, Section
from shopsafe.school.refusals import Refused


@act
def set_class_machines(
    *, section: Section, kinds: Sequence[MachineKind], by: Person, at: datetime | None = None
) -> ClassMachines:
    """These are the machine types of the class from now on. It changes what students are offered, and no clearance.

    Refused: access.not-yours, class-machines.none, class-machines.needs (422), class-machines.elsewhere.
    """
    allow(by, "change a class", section=section)
    lock_school(section.school_id)
    at = act_moment(section.school_id, at)
    if not kinds:
        raise Refused("class-machines.none", _("Choose at least one machine type."), 422)
    if any(kind.school_id != section.school_id for kind in kinds):
        raise Refused("class-machines.elsewhere", _("That belongs to another school."), 403)
    _are_enough(section, kinds, at)
    row = ClassMachines.objects.create(section=section, set_at=at, set_by=by)
    row.kinds.set(kinds)
    append(
        kind="class.machines_set",
        school=section.school_id,
        at=at,
        payload={
            "section": {"id": section.pk, "name": section.name},
            "machine_kinds": [{"id": kind.pk, "name": kind.name} for kind in kinds],
            "by": by.as_record(),
        },
    )
    return row


def _are_enough(section: Section, kinds: Sequence[MachineKind], at: datetime) -> None:
    """Refuse a machine that asks for another one first which the class would not have: no one could get to it."""
    asks, chosen = asks_at(section.school_id, at), {kind.pk for kind in kinds}
    for machine in asks.machines.values():
        if machine.shop_id != section.shop_id or machine.kind_id not in chosen:
            continue
        for thing in asks.asked_by(machine)[1]:
            first = asks.machines[thing.machine_id].kind_id if thing.machine_id in asks.machines else thing.kind_id
            if first is not None and first not in chosen:
                sentence = _(
                    "{machine_type} asks for {first} first. Check that too.",
                    machine_type=machine.kind.name,
                    first=thing.name,
                )
                raise Refused("class-machines.needs", sentence, 422)
