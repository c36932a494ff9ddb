"""A demonstration that was not complete: what the student shows again, and what no one got to."""

import uuid
from datetime import datetime

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import Machine, MachineKind
from machines.models.records import UNDO_FOR
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School


class NotYet(models.Model):
    """A try at a demonstration without a sign-off. Points are kept as they were worded.

    again       the points that the student shows again; `not_shown`: those no one got to, which are not missed
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="+")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="+")
    kind = models.ForeignKey(MachineKind, models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    again = models.JSONField("points to be shown again", default=list)
    not_shown = models.JSONField("points that no one got to", default=list)
    note = models.CharField("a line for the student", max_length=200, blank=True)
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        verbose_name_plural = "not yet"
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["student", "kind", "at"], name="not_yet_of_student")]
        constraints = [
            models.CheckConstraint(
                name="nobody_judges_their_own_try",
                condition=~Q(by=F("student")),
                violation_error_message=_lazy("No one records their own demonstration."),
            ),
            models.CheckConstraint(
                name="not_yet_is_undone_by_a_person",
                condition=Q(undone_at__isnull=True, undone_by__isnull=True)
                | Q(undone_at__gte=F("at"), undone_by__isnull=False),
                violation_error_message=_lazy("It is undone once, by a person."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} not yet on {self.machine}"

    @property
    def undo_until(self) -> datetime:
        return self.at + UNDO_FOR
