"""How staff read a student's name among those the student stands among: a class, or the running classes of a shop."""

from collections.abc import Iterable
from datetime import datetime

from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.people.classes import enrolled, sections_running, students_of


def full_name_in(section: Section, student: Person, at: datetime) -> str:
    """The name of a student who is or was in the class, as it is in its register."""
    return full_names_of([*students_of(section, at), student])[student.pk]


def short_name_in(section: Section, student: Person, at: datetime) -> str:
    return short_names_of([*students_of(section, at), student])[student.pk]


def short_name_in_shop(person: Person, student: Person, shop_id: int, at: datetime) -> str:
    """The student's short name at the machines of a shop, as `person` reads it there."""
    day = local_day(at, person.school.time_zone)
    sections = sections_running(person, day).filter(shop=shop_id)
    return short_name_among(enrolled(list(sections), at).values(), student)


def short_name_among(classes: Iterable[Iterable[Person]], student: Person) -> str:
    return short_names_of([student, *(person for people in classes for person in people)])[student.pk]
