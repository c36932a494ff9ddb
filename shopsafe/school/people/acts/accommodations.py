"""Giving a student what helps to read and answer."""

from datetime import datetime

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow_with
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.reading.accommodations import LANGUAGES, Accommodations
from shopsafe.school.reading.look import CHOICES
from shopsafe.school.refusals import Refused


@act
def give_accommodations(*, student: Person, given: Accommodations, by: Person, at: datetime | None = None) -> Person:
    """From now on the student has these, and no others. The same again changes nothing.

    Refused: access.not-yours (403), accommodations.unknown (422).
    """
    allow_with(by, "give accommodations", student)
    lock(student)
    at, locked_student = act_moment(student.school_id, at), student
    if given.size not in CHOICES["size"] or given.language not in ("", *LANGUAGES):
        raise Refused("accommodations.unknown", _("Choose the size and the language from the lists."), 422)
    if locked_student.given == given:
        return locked_student
    locked_student.accommodations = given.data
    locked_student.save(update_fields=["accommodations"])
    append(
        kind="accommodation.given",
        school=locked_student.school_id,
        at=at,
        payload={"student": locked_student.as_record(), "by": by.as_record(), "given": given.written},
    )
    return locked_student
