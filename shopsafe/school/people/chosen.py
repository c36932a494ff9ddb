"""The students of a class that an act is for, locked."""

from shopsafe.school.locks import locked, share_school
from shopsafe.school.models import Person, Section
from shopsafe.school.people.queries import students_among
from shopsafe.school.refusals import Refused


def chosen_of_class(section: Section, pks: list[int], code: str, sentence: str) -> list[Person]:
    """Those of the class, locked: two teachers with the same pile of forms come one after the other."""
    share_school(section.school_id)
    list(locked(Person.objects.filter(pk__in=pks)).order_by("pk").values_list("pk"))
    students = students_among(section, pks)
    if not students:
        raise Refused(code, sentence, 422)
    return students
