"""A report is taken out of the program as a file: who did it stays in the logbook."""

from datetime import datetime

from machines.incidents.queries import must_read
from machines.models import Incident
from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Entry
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person


@act
def note_hand_over(*, incident: Incident, form: str, by: Person, at: datetime | None = None) -> Entry:
    """Note that a file was made of the report: `form` is "report" or "hand-over file". Refused: access.not-yours."""
    allow(by, "export a record")
    must_read(by, incident)
    lock(incident)
    at = act_moment(incident.school_id, at)
    payload = {
        "by": by.as_record(),
        "shop": {"id": incident.shop_id, "name": incident.shop.name},
        "incident": incident.pk,
        "form": form,
    }
    return append(kind="incident.file_made", school=incident.school_id, at=at, payload=payload)
