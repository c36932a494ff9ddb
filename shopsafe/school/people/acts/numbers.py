"""A student gets a student number, or another one: the list had none, or a wrong one."""

from datetime import datetime

from django.db import IntegrityError

from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, Section
from shopsafe.school.people.queries import students_among
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.rules import clean
from shopsafe.school.rosters.rules.names import against_id


def set_student_number(
    *, section: Section, student: Person, number: str, by: Person, at: datetime | None = None
) -> Person:
    """The school's number of a student of the class is this from now on.

    Refused: access.not-yours, number.left (409), number.to-fix (422), number.same (422), number.taken (409).
    """
    try:
        return _set(section, student, clean(number), by, at)
    except IntegrityError as raced:
        raise Refused("number.taken", _(TAKEN, number=clean(number))) from raced


TAKEN = marked("Another student of the school has the number {number}. Check both, then correct the wrong one.")


@act
def _set(section: Section, student: Person, number: str, by: Person, at: datetime | None) -> Person:
    allow(by, "change a class", section=section)
    lock_school(section.school_id, student)
    at = act_moment(section.school_id, at)
    today = local_day(at, section.school.time_zone)
    enrolled_student = next(iter(students_among(section, [student.pk], today)), None)
    if enrolled_student is None:
        raise Refused("number.left", _("{student} is not in this class any more.", student=student.name))
    if wrong := against_id(number, mended=True):
        raise Refused("number.to-fix", wrong, 422)
    if number == enrolled_student.local_id:
        raise Refused("number.same", _("That is the number already."), 422)
    if Person.objects.filter(school=section.school_id, local_id=number).exists():
        raise Refused("number.taken", _(TAKEN, number=number))
    before, enrolled_student.local_id = enrolled_student.local_id, number
    enrolled_student.save(update_fields=["local_id"])
    payload = {
        "by": by.as_record(),
        "student": enrolled_student.as_record(),
        "section": {"id": section.pk, "name": section.name},
        "before": before,
        "after": number,
    }
    append(kind="student.number_set", school=enrolled_student.school_id, at=at, payload=payload)
    return enrolled_student
