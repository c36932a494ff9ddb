"""The records clearance is worked out from: sign-offs and holds; and machines tagged out.

No act deletes anything here but the erasure of a person: a sign-off is undone or withdrawn, a hold lifted, a machine
returned to service, each with who and when, once. Triggers refuse any other change (see the migration that says so),
and what proves it is the logbook.
"""

import uuid
from datetime import datetime, timedelta

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import Machine, MachineKind
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School, Term

UNDO_FOR = timedelta(minutes=10)


def sentence(label: str, words: str) -> str:
    """ "Horseplay: threw a block." with one period, whatever was typed."""
    text = f"{label}: {words}" if words else label
    return text if text.endswith((".", "!", "?")) else f"{text}."


class SignOff(models.Model):
    """A teacher's record that a student's demonstration at a machine was complete.

    `renews` names the earlier sign-off that had run out. At most one sign-off stands that renews none, and at most
    one that renews a given other: two teachers at once can't both sign off.
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="sign_offs")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="sign_offs")
    kind = models.ForeignKey(MachineKind, models.PROTECT, related_name="+")
    term = models.ForeignKey(Term, models.PROTECT, null=True, blank=True, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    points = models.JSONField("what was shown, point by point, as it was worded")
    tap = models.UUIDField("made by the tablet for one tap", unique=True, default=uuid.uuid4)
    renews = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="+")
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["student", "machine", "at"], name="sign_off_of_student")]
        constraints = [
            models.CheckConstraint(
                name="nobody_signs_off_themselves",
                condition=~Q(by=F("student")),
                violation_error_message=_lazy("No one signs off their own demonstration."),
            ),
            models.CheckConstraint(
                name="sign_off_is_undone_by_somebody",
                condition=Q(undone_at__isnull=True, undone_by__isnull=True)
                | Q(undone_at__isnull=False, undone_by__isnull=False, withdrawn_at__isnull=True),
                violation_error_message=_lazy("A sign-off is undone once, by someone."),
            ),
            models.CheckConstraint(
                name="sign_off_is_withdrawn_with_a_reason",
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True, withdrawn_reason="")
                | (Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False) & ~Q(withdrawn_reason="")),
                violation_error_message=_lazy("Say why the sign-off is withdrawn."),
            ),
            models.UniqueConstraint(
                fields=["student", "machine"],
                condition=Q(undone_at__isnull=True, withdrawn_at__isnull=True, renews__isnull=True),
                name="one_standing_sign_off",
                violation_error_message=_lazy("This student is signed off on this machine already."),
            ),
            models.UniqueConstraint(
                fields=["renews"],
                condition=Q(undone_at__isnull=True, withdrawn_at__isnull=True, renews__isnull=False),
                name="one_standing_renewal",
                violation_error_message=_lazy("This student is signed off on this machine already."),
            ),
        ]

    def __str__(self) -> str:
        return f"sign-off of {self.student} on {self.machine}"

    @property
    def stands(self) -> bool:
        return self.undone_at is None and self.withdrawn_at is None

    @property
    def undo_until(self) -> datetime:
        return self.at + UNDO_FOR


class Hold(models.Model):
    """A teacher stops a student's use of some machines, or of every one, until something has happened."""

    class Reason(models.TextChoices):
        HORSEPLAY = "horseplay", _lazy("Horseplay")
        MISUSE = "misuse", _lazy("Used a machine wrongly")
        RULES = "rules", _lazy("Broke a shop rule")
        DRESS = "dress", _lazy("Not dressed for the shop")
        INJURY = "injury", _lazy("An injury is being looked into")
        OTHER = "other", _lazy("Something else")

    class Lifts(models.TextChoices):
        DATE = "date", _lazy("It ends after a day")
        TALK = "talk", _lazy("A talk with the teacher")
        RULES = "rules", _lazy("Learning rules again")
        QUIZ = "quiz", _lazy("A new quiz")
        OFFICE = "office", _lazy("The office decides")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="holds")
    everywhere = models.BooleanField("every machine, also one that comes later")
    machines = models.ManyToManyField(Machine, related_name="+", blank=True)
    reason = models.CharField(max_length=9, choices=Reason)
    words = models.CharField("what happened", max_length=300, blank=True)
    lifts = models.CharField("what lifts it", max_length=6, choices=Lifts)
    lifts_words = models.CharField("which rules, which quiz", max_length=300, blank=True)
    bank = models.ForeignKey(Bank, models.PROTECT, null=True, blank=True, related_name="+")
    rules = models.JSONField("codes of the rules to learn again", default=list, blank=True)
    learned = models.JSONField("rule → when it was learned again", default=dict, blank=True)
    last_day = models.DateField("the last day of the hold", null=True, blank=True)
    placed_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    placed_at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    lifted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_words = models.CharField("what was done about it", max_length=300, blank=True)

    class Meta:
        ordering = ["placed_at", "pk"]
        indexes = [models.Index(fields=["student", "placed_at"], name="hold_of_student")]
        constraints = [
            models.CheckConstraint(
                name="nobody_holds_themselves",
                condition=~Q(placed_by=F("student")),
                violation_error_message=_lazy("No one places a hold on themselves."),
            ),
            models.CheckConstraint(
                name="hold_is_lifted_by_somebody",
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True)
                | Q(lifted_at__isnull=False, lifted_by__isnull=False),
                violation_error_message=_lazy("A hold is lifted once, by someone."),
            ),
            models.CheckConstraint(
                name="hold_that_ends_by_itself_has_a_day",
                condition=Q(lifts="date", last_day__isnull=False) | (~Q(lifts="date") & Q(last_day__isnull=True)),
                violation_error_message=_lazy("Give the last day of the hold."),
            ),
        ]

    def __str__(self) -> str:
        return f"hold on {self.student}: {self.get_reason_display()}"

    @property
    def why(self) -> str:
        """ "Horseplay: threw a block." """
        return sentence(self.get_reason_display(), self.words)

    @property
    def on_what(self) -> str:
        """ "every machine", or "band saw 2, drill press 1". Asks for the machines: load them with the holds."""
        return _("every machine") if self.everywhere else ", ".join(machine.spoken for machine in self.machines.all())

    @property
    def what_lifts_it(self) -> str:
        """ "Learning rules again: hands at the band saw." """
        return sentence(self.get_lifts_display(), self.lifts_words)

    @property
    def learned_at(self) -> tuple[tuple[str, datetime], ...]:
        return tuple((rule, datetime.fromisoformat(when)) for rule, when in self.learned.items())


class TagOut(models.Model):
    """A machine no one may use, until a teacher has looked at it and returned it to service."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="tag_outs")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    returned_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    returned_at = models.DateTimeField(null=True, blank=True)
    inspection = models.CharField("what was repaired and inspected", max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine"],
                condition=Q(returned_at__isnull=True),
                name="tagged_out_once",
                violation_error_message=_lazy("This machine is tagged out already."),
            ),
            models.CheckConstraint(
                name="tag_out_has_a_reason",
                condition=~Q(reason=""),
                violation_error_message=_lazy("Say what is wrong with the machine."),
            ),
            models.CheckConstraint(
                name="returned_to_service_after_an_inspection",
                condition=Q(returned_at__isnull=True, returned_by__isnull=True, inspection="")
                | (Q(returned_at__isnull=False, returned_by__isnull=False) & ~Q(inspection="")),
                violation_error_message=_lazy("Say what was repaired and inspected."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.machine} tagged out"
