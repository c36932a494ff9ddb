"""The act of taking a student's record out of the program: who did it stays in the logbook."""

from datetime import datetime

from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Entry
from shopsafe.school.access import allow_with
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person


@act
def export_record(*, student: Person, by: Person | None, form: str, at: datetime | None = None) -> Entry:
    """Notes that the evidence file was made, as `form` ("PDF", "JSON"). `by` is None at the server's console.

    Refused: access.not-yours.
    """
    if by:
        allow_with(by, "export a record", student)
    lock(student)  # no one is named again who is being erased
    at = act_moment(student.school_id, at)
    who = {"by": by.as_record()} if by else {"at_console": True}
    payload = {**who, "student": student.as_record(), "form": form}
    return append(kind="record.exported", school=student.school_id, at=at, payload=payload)
