"""How long demonstrations take in a school: one transaction with its logbook entries."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from machines.models import DemonstrationTime, MachineKind
from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person

NUMBERS = ("minutes", "minutes_each", "group_size")


@act
def set_demonstration_times(
    *, times: Sequence[tuple[MachineKind, Mapping[str, int]]], by: Person, at: datetime | None = None
) -> None:
    """The demonstrations of these machine types take so long from now on, each with the numbers of NUMBERS.

    A type whose numbers stay gets no entry. Refused: access.not-yours (403). Raises ValidationError for numbers that
    the form does not let through.
    """
    allow(by, "set up machines")
    if not times:
        return
    lock(*(kind for kind, _ in times))
    at = act_moment(by.school_id, at)
    stored = {row.kind_id: row for row in DemonstrationTime.objects.filter(kind__in=[kind for kind, _ in times])}
    for kind, numbers in times:
        time = stored.get(kind.pk) or DemonstrationTime(kind=kind)
        if time.pk and all(getattr(time, name) == numbers[name] for name in NUMBERS):
            continue
        for name in NUMBERS:
            setattr(time, name, numbers[name])
        time.set_at, time.set_by = at, by
        time.full_clean()
        time.save()
        about: dict[str, Any] = {"by": by.as_record(), "machine_kind": {"id": kind.pk, "name": kind.name}}
        payload = about | {name: numbers[name] for name in NUMBERS}
        append(kind="demonstration_time.set", school=kind.school_id, at=at, payload=payload)
