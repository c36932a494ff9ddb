"""Class lists that were brought in: the key of the form, so that sending it twice is one import."""

import uuid

from django.db import models

from shopsafe.school.models.people import Person
from shopsafe.school.models.places import School, Section


class RosterImport(models.Model):
    """One import. `by` is empty when it was done at the server's own console."""

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    section = models.ForeignKey(Section, models.PROTECT, related_name="imports")
    by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()
    digest = models.CharField("SHA-256 of the rows and the corrections", max_length=64)
    added = models.PositiveIntegerField()
    already_here = models.PositiveIntegerField()
    twice = models.PositiveIntegerField(
        "of those already here, rows that are in the list twice", default=0, db_default=0
    )
    to_fix = models.PositiveIntegerField()
    skipped = models.PositiveIntegerField()

    def __str__(self) -> str:
        return f"{self.added} into {self.section}"
