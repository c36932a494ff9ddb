"""The office says whom to call first, and within how many days a report is complete."""

from datetime import datetime

from machines.models import IncidentSettings
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

DAYS = range(1, 366)


@act
def set_incident_settings(
    *, emergency_number: str, office_phone: str, due_days: int, by: Person, at: datetime | None = None
) -> IncidentSettings:
    """Refused: access.not-yours, incident-settings.no-number, incident-settings.no-days (422)."""
    allow(by, "set up incidents")
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    if not emergency_number.strip():
        raise Refused("incident-settings.no-number", _("Enter the number to call in an emergency."), 422)
    if due_days not in DAYS:
        raise Refused("incident-settings.no-days", _("Enter a number of days from 1 to 365."), 422)
    fields = {
        "emergency_number": emergency_number.strip()[:20],
        "office_phone": office_phone.strip()[:30],
        "due_days": due_days,
    }
    row, _is_new = IncidentSettings.objects.update_or_create(school=by.school, defaults=fields)
    payload = {"by": by.as_record(), **row.as_payload()}
    append(kind="incident_settings.set", school=by.school_id, at=at, payload=payload)
    return row
