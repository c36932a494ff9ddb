"""Incidents, near misses and misuse: what was written down about them, version by version, and what follows from them.

An incident names no one. What is written about a student is in an account of that student's own, with an entry of
its own, so that erasing one student takes nothing from another. Completing a report adds a version; none is changed.
"""

import uuid
from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import Machine
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School, Shop


class Incident(models.Model):
    """Something that hurt, broke or almost did, in one shop. `by` and `at`: who began the report, and when."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="incidents")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["school", "at"], name="incident_of_school")]

    def __str__(self) -> str:
        return f"incident {self.pk}"


class IncidentVersion(models.Model):
    """The report as it was saved once. `known`: what the records said at the moment of the incident, of no student."""

    class Sort(models.TextChoices):
        INCIDENT = "incident", _lazy("Someone was hurt, or something broke")
        NEAR_MISS = "near-miss", _lazy("Near miss: it almost hurt someone")
        MISUSE = "misuse", _lazy("Misuse: a machine was used wrongly")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    incident = models.ForeignKey(Incident, models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    sort = models.CharField("what it was", max_length=9, choices=Sort)
    machine = models.ForeignKey(Machine, models.PROTECT, null=True, blank=True, related_name="+")
    happened_at = models.DateTimeField()
    is_complete = models.BooleanField("nothing is left to fill in")
    known = models.JSONField("what the records said at that moment")
    digest = models.CharField("SHA-256 of that", max_length=64)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["incident", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["incident", "number"],
                name="one_version_of_a_number",
                violation_error_message=_lazy("Another teacher saved this report a moment ago."),
            ),
            models.CheckConstraint(
                name="report_is_written_after_the_incident",
                condition=Q(happened_at__lte=models.F("at")),
                violation_error_message=_lazy("The incident can't be later than its report."),
            ),
        ]

    def __str__(self) -> str:
        return f"version {self.number} of {self.incident}"

    @property
    def is_near_miss(self) -> bool:
        return self.sort == self.Sort.NEAR_MISS


class IncidentAccount(models.Model):
    """What a version says about one student; `student` is empty where none is concerned. A witness has no story here.

    `known`: what the records said about the student at the moment of the incident.
    """

    class Part(models.TextChoices):
        CONCERNED = "concerned", _lazy("Concerned")
        WITNESS = "witness", _lazy("Witness")

    class Hurt(models.TextChoices):
        NOBODY = "no one", _lazy("No one")
        LITTLE = "a little", _lazy("A little, stayed here")
        NURSE = "to the nurse", _lazy("To the nurse")
        AMBULANCE = "ambulance", _lazy("Ambulance")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    version = models.ForeignKey(IncidentVersion, models.PROTECT, related_name="accounts")
    student = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="incident_accounts")
    part = models.CharField(max_length=9, choices=Part, default=Part.CONCERNED)
    hurt = models.CharField(max_length=12, choices=Hurt, blank=True)
    content = models.JSONField("what was written")
    known = models.JSONField("what the records said at that moment")
    digest = models.CharField("SHA-256 of that", max_length=64)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["version", "pk"]
        indexes = [models.Index(fields=["student", "part"], name="account_of_student")]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "student"],
                condition=Q(student__isnull=False),
                name="one_account_of_a_student",
                violation_error_message=_lazy("This student is in the report already."),
            ),
            models.UniqueConstraint(
                fields=["version"],
                condition=Q(student__isnull=True),
                name="one_account_without_a_student",
                violation_error_message=_lazy("The report has an account without a student already."),
            ),
            models.CheckConstraint(
                name="witness_is_a_student",
                condition=Q(part="concerned") | Q(student__isnull=False),
                violation_error_message=_lazy("Choose the student who saw it."),
            ),
        ]

    def __str__(self) -> str:
        return f"account of {self.student or 'no student'}"

    @property
    def is_injury(self) -> bool:
        return self.hurt not in ("", self.Hurt.NOBODY)


class IncidentPhoto(models.Model):
    """A photo of a report, made again from the pixels of what was sent: its digest and size. See `PhotoFile`."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    incident = models.ForeignKey(Incident, models.PROTECT, related_name="photos")
    key = models.UUIDField("in its address", unique=True, default=uuid.uuid4)
    digest = models.CharField("SHA-256 of the file", max_length=64)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["incident", "digest"],
                name="a_photo_once_a_report",
                violation_error_message=_lazy("This photo is in the report already."),
            ),
        ]

    def __str__(self) -> str:
        return f"photo of {self.incident}"


class PhotoFile(models.Model):
    """The file of a photo. In the database, so that backups hold it and no address leads past access. It goes when a
    student of the report is erased: it may show that student. The photo's digest stays on record."""

    photo = models.OneToOneField(IncidentPhoto, models.PROTECT, related_name="file")
    content = models.BinaryField()

    def __str__(self) -> str:
        return f"file of {self.photo}"


class FollowUp(models.Model):
    """One thing that changes so that an incident won't happen again. It stays on Today until it is done."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    incident = models.ForeignKey(Incident, models.PROTECT, related_name="follow_ups")
    words = models.CharField("what changes", max_length=300)
    day = models.DateField("to be done by", null=True, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    done_words = models.CharField("what was done", max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                name="follow_up_says_what_changes",
                condition=~Q(words=""),
                violation_error_message=_lazy("Say what changes."),
            ),
            models.CheckConstraint(
                name="follow_up_is_done_by_somebody",
                condition=Q(done_at__isnull=True, done_by__isnull=True, done_words="")
                | Q(done_at__isnull=False, done_by__isnull=False),
                violation_error_message=_lazy("A follow-up is done once, by someone."),
            ),
        ]

    def __str__(self) -> str:
        return self.words


class IncidentSettings(models.Model):
    """What the school sets about incidents: whom to call first, and within how many days a report is complete."""

    school = models.OneToOneField(School, models.PROTECT, related_name="+")
    emergency_number = models.CharField(max_length=20, default="911")  # common practice in the United States
    office_phone = models.CharField(max_length=30, blank=True)
    due_days = models.PositiveSmallIntegerField(default=7)  # 29 CFR 1904.29(b)(3), as a model

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="report_is_due_within_a_year",
                condition=Q(due_days__gte=1, due_days__lte=365),
                violation_error_message=_lazy("Enter a number of days from 1 to 365."),
            ),
            models.CheckConstraint(
                name="emergency_number_is_set",
                condition=~Q(emergency_number=""),
                violation_error_message=_lazy("Enter the number to call in an emergency."),
            ),
        ]

    def __str__(self) -> str:
        return f"incident settings of {self.school}"

    def as_payload(self) -> dict[str, Any]:
        return {
            "emergency_number": self.emergency_number,
            "office_phone": self.office_phone,
            "due_days": self.due_days,
        }
