"""Many sheets in one file, made in the background: what was asked for, how far it is, and what became of it."""

import uuid
from pathlib import Path

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.school.models import Person, School, Section, Shop


class PrintSet(models.Model):
    """One set. Its file lies in var/prints for a day; making it again from the start gives the same sheets."""

    class BatchKind(models.TextChoices):
        MONDAY = "monday", _lazy("Everything for Monday")
        EVIDENCE = "evidence", _lazy("Evidence files")
        STALE = "stale", _lazy("What is out of date on the wall")

    class State(models.TextChoices):
        WAITING = "waiting", _lazy("Waiting")
        PRINTING = "printing", _lazy("Printing")
        READY = "ready", _lazy("Ready")
        STOPPED = "stopped", _lazy("Stopped")
        FAILED = "failed", _lazy("Failed")

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="+")
    section = models.ForeignKey(Section, models.PROTECT, null=True, blank=True, related_name="+")
    what = models.CharField(max_length=8, choices=BatchKind)
    wants = models.JSONField("papers, distance and the like", default=dict)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    claim = models.UUIDField("the worker that makes it", null=True, blank=True)
    beat_at = models.DateTimeField("last heard of", null=True, blank=True)
    done = models.PositiveSmallIntegerField(default=0)
    of = models.PositiveSmallIntegerField(default=0)
    message = models.CharField("the sheet in hand, or why it failed", max_length=300, blank=True, db_column="said")

    class Meta:
        ordering = ["asked_at"]
        indexes = [models.Index(fields=["state", "asked_at"], name="print_sets_in_turn")]
        constraints = [
            models.CheckConstraint(
                name="print_set_is_in_a_known_state",
                condition=Q(state__in=["waiting", "printing", "ready", "stopped", "failed"]),
                violation_error_message=_lazy("A set waits, is printing, is ready, was stopped or failed."),
            ),
            models.CheckConstraint(
                name="print_set_is_made_by_somebody",
                condition=~Q(state="printing") | Q(claim__isnull=False, beat_at__isnull=False),
                violation_error_message=_lazy("A set that is printing is made by someone."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()}, {self.section or self.shop}"

    @property
    def file(self) -> Path:
        """Where the finished file lies."""
        return Path(settings.PRINTS) / f"{self.key}.zip"

    @property
    def over(self) -> bool:
        """Nothing more comes of it by itself."""
        return self.state in (self.State.READY, self.State.STOPPED, self.State.FAILED)
