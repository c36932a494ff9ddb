"""Hazard reports: what a person saw, what the report does by itself, and how a teacher ended it.

A report is ended once: cleared with words, or by the tag-out of its machine. It keeps a machine off as long as it is
open, whatever happens to the rest of the record.
"""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import Machine
from machines.models.records import TagOut, sentence
from shopsafe.language.messages import stored
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School, Shop

ANSWERED_NO = stored("Answered no")  # so begin the words of a report that an inspection makes


class HazardReport(models.Model):
    """A person signed in saw a hazard at a machine, or somewhere in the shop where `machine` is empty."""

    class Kind(models.TextChoices):
        """The codes and words of machines/reports/rules/hazards.py, which models can't import; a test compares them."""

        GUARD = "guard", _lazy("A guard or cover is missing, loose or open")
        BROKEN = "broken", _lazy("A blade or part is broken or cracked")
        ABRASIVE = "abrasive", _lazy("A belt, disc or wheel is torn or chipped")
        CORD = "cord", _lazy("A cord, plug or switch is damaged")
        SMOKE = "smoke", _lazy("Smoke, sparks or a burning smell")
        WILL_NOT_STOP = "will-not-stop", _lazy("It doesn’t stop when it should")
        INSPECTION = "inspection", _lazy("A line of its inspection was answered no")
        WILL_NOT_START = "will-not-start", _lazy("It doesn’t start")
        NOISE = "noise", _lazy("A strange noise or shaking")
        FLOOR = "floor", _lazy("Something on the floor")
        BEHAVIOR = "behavior", _lazy("Someone works unsafely")
        OTHER = "other", _lazy("Something else")

    class Effect(models.TextChoices):
        KEEP_OFF = "keep off until the teacher looks", _lazy("Keep off until the teacher looks")
        FLAG = "flag", _lazy("For the teacher to look at")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="hazard_reports")
    machine = models.ForeignKey(Machine, models.PROTECT, null=True, blank=True, related_name="hazard_reports")
    kind = models.CharField("what was seen", max_length=16, choices=Kind)
    words = models.CharField(max_length=300, blank=True)
    effect = models.CharField(max_length=36, choices=Effect)
    by = models.ForeignKey(Person, models.PROTECT, related_name="hazard_reports")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    finding = models.CharField("what the teacher found", max_length=300, blank=True, db_column="found")
    tag_out = models.ForeignKey(TagOut, models.PROTECT, null=True, blank=True, related_name="reports")

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["machine", "ended_at"], name="open_report_of_machine")]
        constraints = [
            models.CheckConstraint(
                name="only_a_machine_is_kept_off",
                condition=Q(machine__isnull=False) | Q(effect="flag"),
                violation_error_message=_lazy("Only a machine can be kept off."),
            ),
            models.CheckConstraint(
                name="report_is_ended_by_a_teacher_with_words_or_a_tag_out",
                condition=Q(ended_at__isnull=True, ended_by__isnull=True, finding="", tag_out__isnull=True)
                | (Q(ended_at__isnull=False, ended_by__isnull=False) & (~Q(finding="") | Q(tag_out__isnull=False))),
                violation_error_message=_lazy("Say what you found."),
            ),
        ]

    def __str__(self) -> str:
        return f"report at {self.place}"

    @property
    def sees(self) -> str:
        """ "A guard or cover is missing, loose or open. The left one." """
        words = self.words
        if self.kind == self.Kind.INSPECTION:  # its label says that a line was answered no, and its words begin so
            words = words.removeprefix(f"{ANSWERED_NO}: ")
        return sentence(self.get_kind_display(), words)

    @property
    def place(self) -> str:
        return str(self.machine or self.shop)

    @property
    def keeps_off(self) -> bool:
        return self.effect == self.Effect.KEEP_OFF


class ReportPhoto(models.Model):
    """The photo of a report, made again on the server: nothing of the file that was sent is kept."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    report = models.OneToOneField(HazardReport, models.PROTECT, related_name="photo")
    digest = models.CharField("SHA-256 of the bytes, in hex", max_length=64)
    content = models.BinaryField("WebP")

    def __str__(self) -> str:
        return f"photo of {self.report}"
