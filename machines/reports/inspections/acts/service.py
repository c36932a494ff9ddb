"""What was serviced at a machine, by whom, with which parts."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from machines.models import Machine, ServiceRecord
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated


@dataclass(frozen=True)
class ServiceDone:
    day: date
    work: str
    done_by: str
    parts: str = ""


@act
def record_service(
    *, machine: Machine, done: ServiceDone, by: Person, tap: UUID, at: datetime | None = None
) -> ServiceRecord:
    """A `tap` sent again gives the same record.

    Refused: access.not-yours, service.tap-used, service.not-yet, service.no-words.
    """
    allow(by, "inspect a machine", shop=machine.shop)
    lock(machine)
    at = act_moment(machine.school_id, at)
    work, done_by, parts = done.work.strip()[:300], done.done_by.strip()[:120], done.parts.strip()[:200]
    fields = {"did": work, "done_by": done_by, "parts": parts}  # as taps and entries keep them
    if is_repeated(tap, "service", by=by, at=at, asked={"machine": machine.pk, "day": str(done.day), **fields}):
        return ServiceRecord.objects.get(tap=tap)
    if not work or not done_by:
        raise Refused("service.no-words", _("Say what was done, and who did it."), 422)
    if done.day > local_day(at, machine.school.time_zone):
        raise Refused("service.not-yet", _("That day is still to come. Record the service once it is done."), 422)
    row = ServiceRecord.objects.create(
        school_id=machine.school_id, machine=machine, day=done.day, work=work, done_by=done_by, parts=parts,
        by=by, at=at, tap=tap,
    )  # fmt: skip
    payload = {"service": row.pk, "machine": machine.as_record(), "by": by.as_record(), "day": str(done.day), **fields}
    row.entry = append(kind="machine.serviced", school=machine.school_id, at=at, payload=payload)
    row.save(update_fields=["entry"])
    return row
