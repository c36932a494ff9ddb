"""A school begins: the school itself, and the first person of its office."""

from datetime import datetime

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from shopsafe.logbook.append import append
from shopsafe.school.models import Person, School
from shopsafe.school.refusals import Refused


@transaction.atomic(durable=True)
def found_school(*, name: str, time_zone: str, office_name: str, password: str, at: datetime) -> Person:
    """The first office person of a new school. Refused: school.name-taken, school.bad-field, school.weak-password.

    Asked of nobody's access: it is for whoever runs the server, at its command line.
    """
    school = School(name=name.strip(), time_zone=time_zone)
    if School.objects.filter(name=school.name).exists():
        raise Refused("school.name-taken", f"There is a school called {school.name} already.")
    try:
        school.full_clean()
    except ValidationError as error:
        raise Refused("school.bad-field", " ".join(error.messages), 422) from error
    school.save(force_insert=True)
    try:
        validate_password(password)
    except ValidationError as error:
        raise Refused("school.weak-password", " ".join(error.messages), 422) from error
    office = Person.objects.enter(school=school, role=Person.Role.OFFICE, name=office_name.strip(), code=password)
    append(
        kind="school.founded",
        school=school.pk,
        at=at,
        payload={"school": school.name, "office": office.as_record()},
    )
    return office
