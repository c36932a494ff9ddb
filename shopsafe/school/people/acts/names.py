"""A student's name is corrected: it was read without the family name, say, or misspelt."""

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
from shopsafe.school.naming.rules.names import full_name
from shopsafe.school.people.queries import students_among
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.rules import against_name, clean

RACED = marked("Someone else changed this school's people at the same moment. Send it again.")


def correct_name(
    *, section: Section, student: Person, given: str, family: str, by: Person, at: datetime | None = None
) -> Person:
    """A student of the class is called so from now on. The logbook keeps what was recorded under the old name.

    A slip that is handed out goes on: the sign-in name follows only where no slip was made yet. Refused:
    access.not-yours, name.left (409), name.to-fix (422), name.same (422), name.raced (409).
    """
    try:
        return _correct(section, student, clean(given), clean(family), by, at)
    except IntegrityError as raced:
        raise Refused("name.raced", _(RACED)) from raced


@act
def _correct(section: Section, student: Person, given: str, family: str, by: Person, at: datetime | None) -> Person:
    allow(by, "change a class", section=section)
    lock_school(section.school_id, student)
    at = act_moment(section.school_id, at)
    today = local_day(at, section.school.time_zone)
    enrolled_student = next(iter(students_among(section, [student.pk], today)), None)
    if enrolled_student is None:
        raise Refused("name.left", _("{student} is not in this class any more.", student=student.name))
    before = {
        "name": enrolled_student.name,
        "given": enrolled_student.given_name,
        "family": enrolled_student.family_name,
    }
    after = {"name": full_name(given, family), "given": given, "family": family}
    if wrong := against_name(after["name"], mended=True):
        raise Refused("name.to-fix", wrong, 422)
    if after == before:
        raise Refused("name.same", _("That is the name already."), 422)
    enrolled_student.name, enrolled_student.given_name, enrolled_student.family_name = after["name"], given, family
    if not enrolled_student.has_usable_password():
        enrolled_student.sign_in_as(Person.objects.free_name(enrolled_student.name, besides=enrolled_student.pk))
    enrolled_student.save(update_fields=["name", "given_name", "family_name", "sign_in_name", "sign_in_key"])
    payload = {
        "by": by.as_record(),
        "student": enrolled_student.as_record(),
        "section": {"id": section.pk, "name": section.name},
        "before": before,
        "after": after,
    }
    append(kind="student.name_corrected", school=enrolled_student.school_id, at=at, payload=payload)
    return enrolled_student
