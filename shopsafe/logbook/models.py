"""The record as it is stored: entries, their bodies, erasures, checkpoints; and two projections to search by.

Entries, erasures and checkpoints are never changed and never removed, and a body only once an entry says that it
was erased. Triggers hold this (see the migration after the first). The projections, Listing and Subject, say nothing
that the record does not say; `manage.py logbook verify` compares them with it.
"""

from django.db import models
from django.utils.translation import gettext_lazy


class Entry(models.Model):
    """One link of the chain. It names no person."""

    seq = models.IntegerField(primary_key=True)
    prev = models.BinaryField(unique=True, help_text="The hash of the entry before; 32 zero bytes in the first.")
    header = models.BinaryField(help_text="Canonical JSON: kind, version, UTC second, school.")
    commitment = models.BinaryField()
    hash = models.BinaryField(unique=True)

    def __str__(self) -> str:
        return f"entry {self.seq}"


class Body(models.Model):
    """What an entry says, apart from the chain so that it can be erased while the chain still verifies."""

    entry = models.OneToOneField(Entry, models.PROTECT, primary_key=True, db_column="seq")
    salt = models.BinaryField()
    payload = models.BinaryField(help_text="Canonical JSON, exactly the bytes that were committed to.")

    def __str__(self) -> str:
        return f"body of entry {self.entry_id}"


class Erasure(models.Model):
    """The body of `entry` is gone, as `by` says: an entry of the kind logbook.erased that names it."""

    entry = models.OneToOneField(Entry, models.PROTECT, primary_key=True, db_column="seq")
    by = models.ForeignKey(Entry, models.PROTECT, related_name="erasures")

    def __str__(self) -> str:
        return f"entry {self.entry_id} erased by entry {self.by_id}"


class Checkpoint(models.Model):
    """The root over the first `size` entries at one moment: what is printed and mailed, and so kept elsewhere."""

    size = models.IntegerField(primary_key=True)
    root = models.BinaryField()
    peaks = models.BinaryField(help_text="What the next checkpoint continues from, without reading from the start.")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.size}:{bytes(self.root).hex()}"


class Subtree(models.Model):
    """The root over `width` entries, of which the first is number `number * width + 1`: so that proving an entry does
    not read every other one. Not part of the record: a proof holds only if it leads to the checkpoint's root."""

    width = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField("from 0")
    root = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["width", "number"], name="one_root_a_subtree")]

    def __str__(self) -> str:
        return f"{self.width} entries from {self.number * self.width + 1}"


class Verification(models.Model):
    """What one reading of the whole logbook found. Not part of the record: a note of when it was last looked at."""

    at = models.DateTimeField()
    size = models.BigIntegerField(help_text="How many entries were read.")
    root = models.BinaryField()
    fault = models.TextField(blank=True, help_text="What was found wrong first; empty if nothing was.")

    def __str__(self) -> str:
        return self.fault or f"{self.size} entries in order"


class VerificationRun(models.Model):
    """One reading of the whole logbook that someone asked for: a process does it, and says how far it is."""

    asked_at = models.DateTimeField()
    claim = models.UUIDField(null=True, blank=True, help_text="Of the process that reads.")
    beat_at = models.DateTimeField(null=True, blank=True, help_text="When that process was last heard of.")
    read = models.BigIntegerField(default=0)
    to_read = models.BigIntegerField(default=0, help_text="Each entry twice.")
    against = models.CharField(max_length=100, blank=True, help_text="The code of a checkpoint, as it was printed.")
    over = models.BooleanField(default=False)
    outcome = models.CharField(
        max_length=300, blank=True, db_column="said", help_text="Why it ended early, or what became of the code."
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["over"], condition=models.Q(over=False), name="one_verification_at_a_time")
        ]

    def __str__(self) -> str:
        return f"{self.read} of {self.to_read} read"

    @property
    def percent(self) -> int:
        return min(100, 100 * self.read // self.to_read) if self.to_read else 0


class CheckpointCopy(models.Model):
    """A copy of a checkpoint that left this computer, or the `problem` that kept it here."""

    class Way(models.TextChoices):
        CHART = "chart", gettext_lazy("on a wall chart")
        EVIDENCE = "evidence", gettext_lazy("in an evidence file")
        DOWNLOAD = "download", gettext_lazy("as a file")
        MAIL = "mail", gettext_lazy("by mail")

    checkpoint = models.ForeignKey(Checkpoint, models.PROTECT, related_name="copies")
    way = models.CharField(max_length=10, choices=Way)
    at = models.DateTimeField()
    problem = models.CharField(max_length=300, blank=True, db_column="said")

    class Meta:
        indexes = [models.Index(fields=["at"], name="checkpoint_copy_at")]

    def __str__(self) -> str:
        return f"{self.get_way_display()}, {self.checkpoint_id} entries"


class Listing(models.Model):
    """An entry's header as columns, to search by. No person. `at` is kept to the microsecond, of which the header says
    the second: the acts of one second follow each other."""

    entry = models.OneToOneField(Entry, models.PROTECT, primary_key=True, db_column="seq")
    school = models.BigIntegerField()
    kind = models.CharField(max_length=60)
    at = models.DateTimeField()

    class Meta:
        indexes = [
            models.Index(fields=["school", "kind", "entry"], name="listing_school_kind"),
            models.Index(fields=["school", "at"], name="listing_school_at"),
            models.Index(fields=["school", "entry"], name="listing_school_entry"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d}"


class Subject(models.Model):
    """Whom or what an entry's body is about: `person:12` as `student`. Goes when the body goes."""

    entry = models.ForeignKey(Entry, models.PROTECT, db_column="seq", related_name="subjects", db_index=False)
    role = models.CharField(max_length=30)
    key = models.CharField(max_length=60)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "role", "key"], name="one_row_a_subject")]
        indexes = [models.Index(fields=["key", "entry"], name="subject_key_entry")]

    def __str__(self) -> str:
        return f"{self.role} {self.key}"
