"""Which students of a class have no sign-in slip yet."""

from shopsafe.school.models import Section
from shopsafe.school.people.queries import students_of


def without_slip(section: Section) -> list[int]:
    """Who has none when the set is asked for: made again after an interruption, the set gives them a new one, since
    no one saw the one before."""
    return [student.pk for student in students_of(section) if not student.has_usable_password()]
