"""When classes meet: the meeting times of a class, the school's day cycle and its days off."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from shopsafe.school.models.places import School, Section


class MeetingTime(models.Model):
    """A time at which a class meets on school days. Lists of days are empty for "any day".

    `weekdays` count from Monday = 0; `cycle_days` are places in the school's day cycle, 0 for its first name.
    """

    section = models.ForeignKey(Section, models.CASCADE, related_name="meeting_times")
    begins = models.TimeField()
    ends = models.TimeField()
    weekdays = models.JSONField(default=list)
    cycle_days = models.JSONField(default=list)

    class Meta:
        ordering = ["begins", "pk"]
        constraints = [
            models.CheckConstraint(
                name="meeting_ends_after_it_begins",
                condition=Q(ends__gt=F("begins")) | Q(ends="00:00"),
                violation_error_message=gettext_lazy("The end must be after the beginning."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.section}, {self.begins:%H:%M} to {self.ends:%H:%M}"


class DayCycle(models.Model):
    """The day cycle of a school, such as A and B: the names in order, and a school day with the place that it has.

    `unit` says what moves the cycle on: each school day, or each week with school.
    """

    class Unit(models.TextChoices):
        DAY = "day", gettext_lazy("Every school day")
        WEEK = "week", gettext_lazy("Every week")

    school = models.OneToOneField(School, models.CASCADE, related_name="day_cycle")
    names = models.JSONField(default=list)
    unit = models.CharField(max_length=4, choices=Unit, default=Unit.DAY)
    first_day = models.DateField("a day whose place in the cycle is known")
    first_place = models.PositiveSmallIntegerField("the place of that day", default=0)

    def __str__(self) -> str:
        return f"day cycle of {self.school}: {', '.join(self.names)}"


class DayOff(models.Model):
    """A weekday of a term without school. It uses up no day of the cycle."""

    school = models.ForeignKey(School, models.CASCADE, related_name="days_off")
    day = models.DateField()
    name = models.CharField("why, such as Thanksgiving", max_length=80, blank=True)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(
                fields=["school", "day"],
                name="day_off_once_a_school",
                violation_error_message=gettext_lazy("That day is on the list of days off already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day:%Y-%m-%d} {self.name}".strip()
