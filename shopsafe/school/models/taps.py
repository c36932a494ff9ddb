"""Taps: the key that a page makes for one press of its button, so that a press which is sent twice is recorded once."""

import uuid

from django.db import models

from shopsafe.school.models.places import School


class Tap(models.Model):
    """One press that was recorded. The digest is keyed and covers all that the act was asked: it names no one."""

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    act = models.CharField(max_length=40)
    digest = models.CharField("keyed SHA-256 of what the act was asked", max_length=64)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.act} {self.key}"
