"""Kinds of machine, the machines of a shop, and what each asks of a student before it may be used."""

from typing import Any

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from quizzes.models import Bank
from shopsafe.school.models import Person, School, Section, Shop


def in_a_sentence(name: str) -> str:
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


class MachineKind(models.Model):
    """A kind of machine: how to stop it, what to wear, what to check, what to show the teacher.

    The lists hold plain sentences in the order in which they are read.
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="machine_kinds")
    code = models.SlugField(max_length=80)
    name = models.CharField(max_length=80)
    bank = models.ForeignKey(Bank, models.PROTECT, null=True, blank=True, related_name="machine_kinds")
    stop = models.CharField("how to stop it", max_length=300)
    protect = models.JSONField("protective equipment, by code", default=list)
    pre_use = models.JSONField("checked before each use", default=list)
    demonstration = models.JSONField("what the student shows, point by point", default=list)
    tag_out = models.JSONField("what puts it out of service at once", default=list)
    stop_and_ask = models.JSONField("when to stop and ask", default=list)
    pictogram = models.CharField(max_length=80, blank=True)
    helpers = models.PositiveSmallIntegerField("how many helpers a run needs", default=0, db_default=0)
    helper_role = models.CharField("what a helper is called", max_length=40, blank=True, db_default="")
    helper_cleared = models.BooleanField("a helper must be cleared on the machine", default=True, db_default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="run_needs_few_helpers",
                condition=Q(helpers__lte=4),
                violation_error_message=_lazy("Enter a number of helpers from 0 to 4."),
            ),
            models.UniqueConstraint(
                fields=["school", "code"],
                name="machine_kind_code_once_a_school",
                violation_error_message=_lazy("This school has a kind of machine of that code already."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def spoken(self) -> str:
        """As it is written inside a sentence: "band saw", but "CNC router"."""
        return in_a_sentence(self.name)


class Machine(models.Model):
    """One physical machine in one shop, with a number on it."""

    school = models.ForeignKey(School, models.PROTECT, related_name="machines")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="machines")
    kind = models.ForeignKey(MachineKind, models.PROTECT, related_name="machines")
    number = models.PositiveSmallIntegerField("the number on it")
    name = models.CharField("its own name, if it has one", max_length=80, blank=True)
    added_at = models.DateTimeField()
    retired_at = models.DateTimeField("left the shop", null=True, blank=True)

    class Meta:
        ordering = ["number", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number"],
                condition=Q(retired_at__isnull=True),
                name="machine_number_once_a_shop",
                violation_error_message=_lazy("Another machine in this shop has that number."),
            ),
            models.CheckConstraint(
                name="machine_leaves_after_it_came",
                condition=Q(retired_at__isnull=True) | Q(retired_at__gte=F("added_at")),
                violation_error_message=_lazy("A machine can't leave before it came."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name or self.kind.name} {self.number}"

    @property
    def spoken(self) -> str:
        """As it is written inside a sentence: "band saw 2"."""
        return f"{self.name or self.kind.spoken} {self.number}"

    @property
    def what_it_is(self) -> str:
        """The kind of a machine whose own name does not say it: "Band saw" of "Big blue". Otherwise nothing."""
        kind = self.kind.name
        return kind if self.name and kind.casefold() not in self.name.casefold() else ""

    def as_record(self) -> dict[str, Any]:
        """How the logbook names this machine. Its own name keeps its capital inside a sentence; that of a kind does
        not, and by the words alone no one could tell them apart later."""
        return {"id": self.pk, "name": str(self)} | ({"own_name": True} if self.name else {})


class Requirements(models.Model):
    """What a kind of machine, or one machine of it, asks for from `holds_from` on. Rows are added, never changed.

    The row with the latest `holds_from` that has come is the one in force; a machine's own before its kind's.
    """

    class Demonstration(models.TextChoices):
        MACHINE = "machine", _lazy("On each machine")
        KIND = "kind", _lazy("Once for the kind")

    class Ends(models.TextChoices):
        TERM = "term", _lazy("With the term")
        YEAR = "year", _lazy("With the school year")
        NEVER = "never", _lazy("Not by itself")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    kind = models.ForeignKey(MachineKind, models.PROTECT, related_name="requirements")
    machine = models.ForeignKey(Machine, models.PROTECT, null=True, blank=True, related_name="requirements")
    as_kind = models.BooleanField("this machine asks for what its kind asks for", default=False, db_default=False)
    agreement = models.BooleanField("a safety agreement for the school year", default=True)
    documents = models.CharField(
        "codes of further documents, in one line", max_length=400, blank=True, default="", db_default=""
    )
    demonstration = models.CharField(max_length=7, choices=Demonstration, default=Demonstration.MACHINE)
    ends_with = models.CharField("a sign-off ends", max_length=5, choices=Ends, default=Ends.TERM)
    refresh_days = models.PositiveSmallIntegerField("days until a refresher is due", null=True, blank=True)
    unused_days = models.PositiveSmallIntegerField("days without use until it expires", null=True, blank=True)
    holds_from = models.DateTimeField()
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        verbose_name_plural = "requirements"
        ordering = ["holds_from", "pk"]
        indexes = [models.Index(fields=["school", "kind", "holds_from"], name="requirements_in_force")]
        constraints = [
            models.CheckConstraint(
                name="requirements_never_hold_before_they_are_set",
                condition=Q(holds_from__gte=F("set_at")),
                violation_error_message=_lazy("Requirements can't hold from a day that has passed."),
            ),
            models.CheckConstraint(
                name="only_a_machine_follows_its_kind",
                condition=Q(as_kind=False) | Q(machine__isnull=False),
                violation_error_message=_lazy("Only a single machine can follow its kind."),
            ),
            models.CheckConstraint(
                name="requirements_count_days_from_one",
                condition=(Q(refresh_days__isnull=True) | Q(refresh_days__gte=1))
                & (Q(unused_days__isnull=True) | Q(unused_days__gte=1)),
                violation_error_message=_lazy("Give a number of days from 1 up, or leave it empty."),
            ),
        ]

    def __str__(self) -> str:
        return f"what {self.machine or self.kind} asks for from {self.holds_from:%Y-%m-%d}"


class Prerequisite(models.Model):
    """One thing that requirements ask for first: a bank passed, or a kind or a machine cleared on."""

    requirements = models.ForeignKey(Requirements, models.PROTECT, related_name="asked")
    place = models.PositiveSmallIntegerField("order in which it is listed")
    bank = models.ForeignKey(Bank, models.PROTECT, null=True, blank=True, related_name="+")
    kind = models.ForeignKey(MachineKind, models.PROTECT, null=True, blank=True, related_name="+")
    machine = models.ForeignKey(Machine, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        db_table = "machines_asked"
        verbose_name_plural = "prerequisites"
        ordering = ["requirements", "place"]
        constraints = [
            models.UniqueConstraint(
                fields=["requirements", "place"],
                name="one_thing_a_place",
                violation_error_message=_lazy("Two things have the same place."),
            ),
            models.CheckConstraint(
                name="asks_for_one_thing",
                condition=Q(bank__isnull=False, kind__isnull=True, machine__isnull=True)
                | Q(bank__isnull=True, kind__isnull=False, machine__isnull=True)
                | Q(bank__isnull=True, kind__isnull=True, machine__isnull=False),
                violation_error_message=_lazy("Ask for a quiz, a kind or a machine: one of them."),
            ),
        ]

    def __str__(self) -> str:
        return str(self.bank or self.kind or self.machine)


class ClassMachines(models.Model):
    """The machine types that a class uses from `set_at` on. Rows are added, never changed; the latest counts.

    A class without a row uses every machine of its shop.
    """

    section = models.ForeignKey(Section, models.PROTECT, related_name="machine_choices")
    kinds = models.ManyToManyField(MachineKind, related_name="+")
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "class machines"
        ordering = ["set_at", "pk"]
        indexes = [models.Index(fields=["section", "set_at"], name="machines_of_class")]

    def __str__(self) -> str:
        return f"machines of {self.section} from {self.set_at:%Y-%m-%d}"
