"""Runs: one student at one machine, from the moment it is given until it stands still; helpers and waiting lists."""

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.floor import ShopOpening
from machines.models.machines import Machine
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School


class Run(models.Model):
    """One student at one machine. Given by the teacher; running once the pre-use check is acknowledged; over at
    standstill. A run that was given and never started ends too.

    checked_by, ended_by   the teacher; empty where the student did it
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    opening = models.ForeignKey(ShopOpening, models.PROTECT, related_name="runs")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="runs")
    student = models.ForeignKey(Person, models.PROTECT, related_name="runs")
    given_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    given_at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    started_at = models.DateTimeField(null=True, blank=True)
    checked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    checks = models.JSONField("the pre-use check, line by line, as it was worded", default=list, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["given_at", "pk"]
        indexes = [
            models.Index(fields=["machine", "given_at"], name="runs_of_machine"),
            models.Index(fields=["student", "machine", "ended_at"], name="runs_of_student"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["machine"],
                condition=Q(ended_at__isnull=True),
                name="one_student_at_each_machine",
                violation_error_message=_lazy("A student is at this machine already."),
            ),
            models.UniqueConstraint(
                fields=["student"],
                condition=Q(ended_at__isnull=True),
                name="one_machine_for_each_student",
                violation_error_message=_lazy("This student is at another machine."),
            ),
            models.CheckConstraint(
                name="nobody_gives_themselves_a_machine",
                condition=~Q(given_by=F("student")),
                violation_error_message=_lazy("No one gives themselves a machine."),
            ),
            models.CheckConstraint(
                name="run_starts_after_it_is_given",
                condition=Q(started_at__isnull=True, checked_by__isnull=True) | Q(started_at__gte=F("given_at")),
                violation_error_message=_lazy("A run starts after the machine is given."),
            ),
            models.CheckConstraint(
                name="run_ends_after_it_starts",
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | (Q(ended_at__gte=F("given_at")) & (Q(started_at__isnull=True) | Q(ended_at__gte=F("started_at")))),
                violation_error_message=_lazy("A run ends after it starts."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} at {self.machine}"


class RunHelper(models.Model):
    """A student who helps at a run (outfeed, spotter). The help ends with the run, or before it."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    run = models.ForeignKey(Run, models.PROTECT, related_name="helpers")
    student = models.ForeignKey(Person, models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField("the help ended before the run", null=True, blank=True)
    ended_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["run", "student"],
                condition=Q(ended_at__isnull=True),
                name="helper_is_named_once",
                violation_error_message=_lazy("This student helps there already."),
            ),
            models.CheckConstraint(
                name="help_is_ended_by_a_person",
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__gte=F("at"), ended_by__isnull=False),
                violation_error_message=_lazy("Help is ended once, by a person."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} helps {self.run}"


class WaitingStudent(models.Model):
    """A student on the waiting list of a machine, for as long as the shop is open. The order is that of the keys.

    added_by, left_by   the teacher; empty where the student did it
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    opening = models.ForeignKey(ShopOpening, models.PROTECT, related_name="waiting")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="+")
    added_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    joined_at = models.DateTimeField()
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    left_at = models.DateTimeField(null=True, blank=True)
    left_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["opening", "machine", "student"],
                condition=Q(left_at__isnull=True),
                name="waits_once_for_a_machine",
                violation_error_message=_lazy("This student waits for the machine already."),
            ),
            models.CheckConstraint(
                name="waiting_ends_after_it_begins",
                condition=Q(left_at__isnull=True, left_by__isnull=True) | Q(left_at__gte=F("joined_at")),
                violation_error_message=_lazy("Waiting can't end before it begins."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} waits for {self.machine}"
