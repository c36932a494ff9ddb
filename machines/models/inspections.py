"""Inspections of machines, the lists they go through, what was serviced, and the calendars that announce them."""

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import Machine, MachineKind
from machines.models.records import TagOut
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School, Shop


class InspectionList(models.Model):
    """The lines of a machine type, by interval, as a teacher set them. Rows are added, never changed: the latest is in
    force, and inspections are due from the day of the first."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    kind = models.ForeignKey(MachineKind, models.PROTECT, related_name="inspection_lists")
    lines = models.JSONField('interval → [{"says", "source"}]')
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["set_at", "pk"]
        indexes = [models.Index(fields=["school", "kind", "set_at"], name="inspection_list_in_force")]

    def __str__(self) -> str:
        return f"inspection list of {self.kind}"


class Inspection(models.Model):
    """A list gone through at one machine, line by line as it was worded.

    complete   no line was answered no
    tag_out    of an inspection before a return to service, which goes through every line of the machine type
    reason     why another teacher than the one who tagged it out returns it [29 CFR 1910.147(e)(3) as a model]
    """

    class Scope(models.TextChoices):
        DAILY = "daily", _lazy("Daily")
        WEEKLY = "weekly", _lazy("Weekly")
        TERM = "term", _lazy("Each term")
        RETURN = "return", _lazy("Before a return to service")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="inspections")
    scope = models.CharField(max_length=6, choices=Scope)
    answers = models.JSONField('[{"says", "source", "answer"}]')
    complete = models.BooleanField()
    words = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    tag_out = models.OneToOneField(TagOut, models.PROTECT, null=True, blank=True, related_name="return_check")
    tagged_out_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    reason = models.CharField(max_length=300, blank=True)
    parts = models.CharField("parts that were replaced", max_length=200, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["machine", "scope", "at"], name="inspections_of_machine")]
        constraints = [
            models.CheckConstraint(
                name="no_line_answered_no_returns_a_machine",
                condition=Q(tag_out__isnull=True, tagged_out_by__isnull=True, reason="", parts="") & ~Q(scope="return")
                | Q(tag_out__isnull=False, tagged_out_by__isnull=False, scope="return", complete=True),
                violation_error_message=_lazy("A line that is answered no keeps the machine out of service."),
            ),
            models.CheckConstraint(
                name="second_teacher_returns_with_a_reason",
                condition=Q(tag_out__isnull=True) | Q(by=F("tagged_out_by")) | ~Q(reason=""),
                violation_error_message=_lazy("Say why you return it instead of the teacher who tagged it out."),
            ),
        ]

    def __str__(self) -> str:
        return f"inspection of {self.machine}"


class ServiceRecord(models.Model):
    """What was repaired, replaced or maintained at a machine, by whom, on which day."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="services")
    day = models.DateField()
    work = models.CharField("what was done", max_length=300, db_column="did")
    done_by = models.CharField("who did it", max_length=120)
    parts = models.CharField("parts that were replaced", max_length=200, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.CheckConstraint(
                name="service_says_what_was_done_by_whom",
                condition=~Q(work="") & ~Q(done_by=""),
                violation_error_message=_lazy("Say what was done, and who did it."),
            ),
        ]

    def __str__(self) -> str:
        return f"service of {self.machine}"


class InspectionCalendar(models.Model):
    """A calendar of due inspections for one shop under an address that only its maker knows, until it is ended. The
    address is made from this row and the server's secret; it is kept nowhere."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="+")
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    nonce = models.UUIDField(unique=True, default=uuid.uuid4)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "made_by"],
                condition=Q(ended_at__isnull=True),
                name="one_inspection_calendar_a_person",
                violation_error_message=_lazy("You have a calendar of this shop already."),
            ),
        ]

    def __str__(self) -> str:
        return f"inspection calendar of {self.shop}"
