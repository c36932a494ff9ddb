"""How long the demonstrations of a machine type take: what the plan of a period counts with."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import MachineKind
from shopsafe.school.models import Person

MOST_STUDENTS = 6  # a teacher can watch so many at one machine: common practice


class DemonstrationTime(models.Model):
    """The minutes and the group of one machine type. A type without a row has those of a new shop."""

    kind = models.OneToOneField(MachineKind, models.PROTECT, related_name="demonstration_time")
    minutes = models.PositiveSmallIntegerField(
        "minutes for a group", validators=[MinValueValidator(0), MaxValueValidator(60)]
    )
    minutes_each = models.PositiveSmallIntegerField(
        "and for each student", validators=[MinValueValidator(0), MaxValueValidator(30)]
    )
    group_size = models.PositiveSmallIntegerField(
        "students at a time", validators=[MinValueValidator(1), MaxValueValidator(MOST_STUDENTS)]
    )
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="demonstration_takes_time",
                condition=Q(minutes__lte=60, minutes_each__lte=30) & (Q(minutes__gte=1) | Q(minutes_each__gte=1)),
                violation_error_message=_lazy(
                    "A demonstration takes at least a minute: for the group, or for each student."
                ),
            ),
            models.CheckConstraint(
                name="demonstration_group_can_be_watched",
                condition=Q(group_size__gte=1, group_size__lte=MOST_STUDENTS),
                violation_error_message=format_lazy(
                    _lazy("A teacher can watch 1 to {most} students at a machine."), most=MOST_STUDENTS
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"demonstration of {self.kind}"
