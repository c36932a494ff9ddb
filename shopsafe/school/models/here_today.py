"""Here today: which students of a class the teacher marked as away on a day. Not the school's attendance register."""

from django.db import models
from django.utils.translation import gettext_lazy

from shopsafe.school.models.people import Person
from shopsafe.school.models.places import Section


class HereToday(models.Model):
    """The list of one class on one day, as it was last saved."""

    section = models.ForeignKey(Section, models.PROTECT, related_name="days_taken")
    day = models.DateField()
    at = models.DateTimeField("last saved")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "here today"
        constraints = [
            models.UniqueConstraint(
                fields=["section", "day"],
                name="one_here_today_list_a_day",
                violation_error_message=gettext_lazy("This class has a list for today already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.section} on {self.day}"


class AwayStudent(models.Model):
    """A student who is away on the day of a list."""

    here_today = models.ForeignKey(HereToday, models.CASCADE, related_name="away")
    student = models.ForeignKey(Person, models.PROTECT, related_name="days_away")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["here_today", "student"],
                name="away_once_a_day",
                violation_error_message=gettext_lazy("This student is marked as away already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} away, {self.here_today}"
