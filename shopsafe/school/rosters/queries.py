"""The people of a school, as a class list is compared with them."""

from datetime import timedelta

from django.db.models import Exists, OuterRef

from shopsafe.school.access import students_for, today_at
from shopsafe.school.models import Enrollment, Person, Section
from shopsafe.school.models.people import not_over
from shopsafe.school.rosters.rules import ExistingPerson


def known_people(section: Section, by: Person | None) -> list[ExistingPerson]:
    """Everyone at the school of `section`, as a class list is compared with them by this teacher.

    `by` is None at the server's console, which may see everyone.
    """
    # A student whose last day in the class is today comes in again from today.
    staying = not_over(today_at(section.school) + timedelta(days=1))
    here = Enrollment.objects.filter(staying, section=section, student=OuterRef("pk"))
    people = Person.objects.filter(school=section.school_id).annotate(here=Exists(here)).order_by("pk")
    rows = people.values_list("pk", "name", "local_id", "here", "role")
    reach = set(students_for(by).values_list("pk", flat=True)) if by else None
    return [
        ExistingPerson(
            pk,
            name,
            local_id,
            in_class,
            role == Person.Role.STUDENT,
            reach is None or role != Person.Role.STUDENT or pk in reach,
        )
        for pk, name, local_id, in_class, role in rows
    ]
