"""A school begins: the school itself, the first person of its office, and its first teacher."""

from datetime import datetime

from django.core.exceptions import ValidationError

from shopsafe.act import act, server_time
from shopsafe.language.messages import _
from shopsafe.logbook.append import append, lock_last_entry
from shopsafe.school.models import Person, School
from shopsafe.school.naming.entered import entered_name
from shopsafe.school.naming.rules.names import sign_in_key
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.codes.setup_code import is_setup_code
from shopsafe.school.signing_in.passwords import must_be_strong

WEAK = "school.weak-password"  # of the office


@act
def found_school(*, name: str, time_zone: str, office_name: str, password: str, at: datetime | None = None) -> Person:
    """The first office person of a new school. Refused: school.name-taken, school.bad-field, school.weak-password.

    Asked of no one's access: it is for the person who runs the server, at its command line.
    """
    lock_last_entry()  # there is no school to lock yet
    return _found(name, time_zone, office_name, password, at or server_time())


@act
def begin_school(
    *,
    setup_code: str,
    name: str,
    time_zone: str,
    teacher_name: str,
    teacher_password: str,
    office_name: str,
    office_password: str,
    at: datetime | None = None,
) -> Person:
    """The first teacher of the first school of an installation, for the person who has its setup code.

    Refused: begin.there (409), begin.code, begin.same-name, begin.same-password, begin.weak-password,
    school.bad-field, school.weak-password (422).
    """
    lock_last_entry()  # two at once: the second finds the first one's school
    at = at or server_time()
    if School.objects.exists():
        raise Refused("begin.there", _("Someone has set this shop up already. Sign in."))
    if not is_setup_code(setup_code):
        raise Refused("begin.code", _("That is not the setup code. It stands where the program was started."), 422)
    _named_apart(teacher_name, office_name)
    must_be_strong(teacher_password, "begin.weak-password")
    if office_password == teacher_password:
        sentence = _("That is your own password too. Give the office another: it can do what a teacher can't.")
        raise Refused("begin.same-password", sentence, 422)
    office = _found(name, time_zone, office_name, office_password, at)
    name = entered_name(teacher_name, _("Your name"))
    teacher = Person.objects.enter(school=office.school, role=Person.Role.TEACHER, name=name, code=teacher_password)
    payload = {"by": office.as_record(), "person": teacher.as_record(), "role": "teacher", "shops": []}
    append(kind="staff.added", school=office.school_id, at=at, payload=payload | {"sign_in_name": teacher.sign_in_name})
    return teacher


def _named_apart(teacher: str, office: str) -> None:
    """A person who types a name to sign in must get to one of the two, and know which."""
    if sign_in_key(teacher) == sign_in_key(office):
        raise Refused("begin.same-name", _("That is your own name too. Give the office another, to sign in with."), 422)


def _found(name: str, time_zone: str, office_name: str, password: str, at: datetime) -> Person:
    school = School(name=entered_name(name, _("The name of the school")), time_zone=time_zone)
    if School.objects.filter(name=school.name).exists():
        raise Refused("school.name-taken", _("There is a school called {school} already.", school=school.name))
    try:
        school.full_clean()
    except ValidationError as error:
        raise Refused("school.bad-field", " ".join(error.messages), 422) from error
    school.save(force_insert=True)
    must_be_strong(password, WEAK)
    office = Person.objects.enter(
        school=school,
        role=Person.Role.OFFICE,
        name=entered_name(office_name, _("The name of the office")),
        code=password,
    )
    append(
        kind="school.founded",
        school=school.pk,
        at=at,
        payload={"school": school.name, "office": office.as_record()},
    )
    return office
