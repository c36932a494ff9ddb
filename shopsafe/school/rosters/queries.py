"""The people of a school, as a class list is compared with them."""

from django.db.models import Exists, OuterRef

from shopsafe.school.models import Enrollment, Person, Section
from shopsafe.school.rosters.rules import ExistingPerson


def known_people(section: Section) -> list[ExistingPerson]:
    """Everybody at the school of `section`, as a class list is weighed against them."""
    here = Enrollment.objects.filter(section=section, student=OuterRef("pk"), until_day=None)
    people = Person.objects.filter(school=section.school_id).annotate(here=Exists(here)).order_by("pk")
    rows = people.values_list("pk", "name", "local_id", "here", "role")
    return [
        ExistingPerson(pk, name, local_id, in_class, role == "student") for pk, name, local_id, in_class, role in rows
    ]
