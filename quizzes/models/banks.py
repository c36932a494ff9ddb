"""Banks, their drafts, the editions made of them, and the teachers who accept their rules."""

import uuid
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from shopsafe.school.models import Person, School


class Bank(models.Model):
    """The rules and questions of one subject. Teachers change the draft; students meet editions only."""

    school = models.ForeignKey(School, models.PROTECT, related_name="banks")
    code = models.SlugField(max_length=80)
    subject = models.CharField(max_length=120)
    draft = models.TextField("the draft as JSON, in the shape of a bank file")
    draft_pictures = models.JSONField("the draft's pictures, by name", default=dict)
    draft_revision = models.PositiveIntegerField("how often the draft was saved", default=1)
    draft_changed_at = models.DateTimeField()
    draft_changed_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["subject"]
        constraints = [
            models.UniqueConstraint(
                fields=["school", "code"],
                name="bank_code_once_a_school",
                violation_error_message=gettext_lazy("This school has a bank of that code already."),
            ),
        ]

    def __str__(self) -> str:
        return self.subject


class DraftChange(models.Model):
    """One change of a draft: who, when and what, so that a second teacher can read it."""

    bank = models.ForeignKey(Bank, models.PROTECT, related_name="draft_changes")
    revision = models.PositiveIntegerField("the draft's revision after it")
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    says = models.CharField("what was changed, in words", max_length=300)

    class Meta:
        ordering = ["bank", "revision"]
        constraints = [
            models.UniqueConstraint(
                fields=["bank", "revision"],
                name="one_change_a_revision",
                violation_error_message=gettext_lazy("Someone changed this draft a moment ago. Check it first."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.bank}, revision {self.revision}: {self.says}"


class BankUpload(models.Model):
    """A bank file that was sent in and is being looked at. Taken over once; then it holds nothing."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    name = models.CharField(max_length=80)
    content = models.BinaryField()
    bank = models.ForeignKey(Bank, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return self.name


class Edition(models.Model):
    """A bank as published: numbered, dated, frozen, with the digest of its bytes."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    bank = models.ForeignKey(Bank, models.PROTECT, related_name="editions")
    number = models.PositiveIntegerField()
    content = models.TextField("canonical JSON (RFC 8785): the bank and its pictures")
    digest = models.CharField("SHA-256 of the content, in hex", max_length=64)
    published_at = models.DateTimeField()
    published_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    earlier_passes_count = models.BooleanField("passes on earlier editions still count", default=True)
    earlier_passes_until = models.DateTimeField("and stop counting at", null=True, blank=True)

    accepted: bool  # on the rows of queries.latest_editions: at the moment that was asked for

    class Meta:
        ordering = ["bank", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["bank", "number"],
                name="edition_number_once_a_bank",
                violation_error_message=gettext_lazy(
                    "Someone published this bank a moment ago. Look at their edition first."
                ),
            ),
            models.CheckConstraint(
                name="edition_is_numbered_from_one",
                condition=Q(number__gte=1),
                violation_error_message=gettext_lazy("Editions are numbered from 1."),
            ),
            models.CheckConstraint(
                name="earlier_passes_end_only_if_they_count",
                condition=Q(earlier_passes_until__isnull=True) | Q(earlier_passes_count=True),
                violation_error_message=gettext_lazy("Earlier passes can't end on a day if they don't count at all."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.bank}, edition {self.number}"


class Acceptance(models.Model):
    """A teacher has read the rules of an edition against the machine's manual and the local rules, and accepts them.

    Without one that stands, the edition is practice only. It may be taken back, and given again; nothing is deleted.
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    edition = models.ForeignKey(Edition, models.PROTECT, related_name="acceptances")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    taken_back_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["edition"],
                condition=Q(taken_back_at__isnull=True),
                name="one_acceptance_stands",
                violation_error_message=gettext_lazy("Someone accepted this edition a moment ago."),
            ),
            models.CheckConstraint(
                name="acceptance_is_taken_back_with_a_reason",
                condition=Q(taken_back_at__isnull=True, taken_back_by__isnull=True, taken_back_reason="")
                | (Q(taken_back_at__gte=F("at"), taken_back_by__isnull=False) & ~Q(taken_back_reason="")),
                violation_error_message=gettext_lazy("Say why the rules are no longer accepted."),
            ),
        ]

    def __str__(self) -> str:
        return f"acceptance of {self.edition}"


class StarterCorrection(models.Model):
    """A corrected starter bank, offered to a school that has the bank, and what a teacher decided about it, by rule."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    bank = models.ForeignKey(Bank, models.PROTECT, related_name="corrections")
    digest = models.CharField("SHA-256 of the content, in hex", max_length=64)
    content = models.TextField("the corrected bank and its pictures, as an edition keeps them")
    summary = models.JSONField("what is corrected, by rule, as it was when it was offered", default=list)
    offered_at = models.DateTimeField()
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    taken = models.JSONField("the rules whose corrections were taken, by code", default=list)
    reason = models.CharField("why it was declined", max_length=300, blank=True)
    edition = models.OneToOneField(Edition, models.PROTECT, null=True, blank=True, related_name="correction")

    class Meta:
        ordering = ["offered_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["bank"],
                condition=Q(decided_at__isnull=True),
                name="one_correction_waits",
                violation_error_message=gettext_lazy("A correction of this bank waits already."),
            ),
            models.UniqueConstraint(
                fields=["bank", "digest"],
                name="correction_offered_once",
                violation_error_message=gettext_lazy("This correction was offered already."),
            ),
            models.CheckConstraint(
                name="correction_is_taken_or_declined_with_a_reason",
                condition=Q(decided_at__isnull=True, decided_by__isnull=True, edition__isnull=True, reason="")
                | Q(decided_at__gte=F("offered_at"), decided_by__isnull=False, edition__isnull=False, reason="")
                | (Q(decided_at__gte=F("offered_at"), decided_by__isnull=False, edition__isnull=True) & ~Q(reason="")),
                violation_error_message=gettext_lazy("Take the correction, or say why your shop declines it."),
            ),
        ]

    def __str__(self) -> str:
        return f"correction of {self.bank}"

    @property
    def taken_rows(self) -> list[dict[str, Any]]:
        """What was corrected, as it was offered, of the rules that were taken."""
        return [row for row in self.summary if row["rule"] in self.taken]


class Picture(models.Model):
    """The bytes of a picture, kept once a school under their own digest: the address says nothing of what it shows."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    digest = models.CharField("SHA-256 of the bytes, in hex", max_length=64)
    kind = models.CharField(max_length=4)
    content = models.BinaryField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["school", "digest"],
                name="picture_once_a_school",
                violation_error_message=gettext_lazy("This picture is here already."),
            ),
            models.CheckConstraint(
                name="picture_is_of_a_kind",
                condition=Q(kind__in=["svg", "png", "jpg", "webp"]),
                violation_error_message=gettext_lazy("A picture is a drawing (svg), png, jpg or webp."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.digest[:12]}.{self.kind}"
