"""Which students of a class are marked as away on a day."""

from dataclasses import dataclass
from datetime import date, datetime

from shopsafe.school.calendar import local_day
from shopsafe.school.models import AwayStudent, HereToday, Person, Section
from shopsafe.school.people.classes import students_of


@dataclass(frozen=True)
class DayList:
    """The students of a class on a day. `saved`: the list that someone saved, or None while no one has."""

    section: Section
    day: date
    students: list[Person]
    away: frozenset[int]
    saved: HereToday | None

    @property
    def here(self) -> list[Person]:
        return [student for student in self.students if student.pk not in self.away]

    @property
    def version(self) -> str:
        """What a form carries, so that it never saves over a list that changed after the form was opened."""
        return self.saved.at.isoformat() if self.saved else ""


def day_list(section: Section, at: datetime) -> DayList:
    """The list of the day of `at`. Until someone saves one, every student counts as here. Three queries."""
    day = local_day(at, section.school.time_zone)
    saved = HereToday.objects.filter(section=section, day=day).select_related("by").first()
    away = AwayStudent.objects.filter(here_today=saved).values_list("student", flat=True) if saved else ()
    return DayList(section, day, students_of(section, at), frozenset(away), saved)
