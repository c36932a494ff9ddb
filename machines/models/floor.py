"""The shop in use: opened by a teacher, presence confirmed, all runs ended, closed by the list; and who may supervise.

Who is at which machine is in machines/models/runs.py.
"""

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School, Section, Shop


class FloorSettings(models.Model):
    """How a shop keeps its floor. A shop without a row keeps no runs and has the lists and intervals of a new shop.

    tile_order     keys of machines in the order of the room; machines that are not named come after them, by number
    closing_lines  {"text", "standstill"}, in the order in which they are checked; None: the list of a new shop
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.OneToOneField(Shop, models.PROTECT, related_name="floor")
    keeps_runs = models.BooleanField("who is at which machine is recorded", default=False)
    presence_minutes = models.PositiveSmallIntegerField("a teacher confirms being here every so many", default=15)
    tile_order = models.JSONField(default=list, blank=True)
    wall_before = models.CharField("what is along the first tiles", max_length=40, blank=True)
    wall_after = models.CharField("what is along the last tiles", max_length=40, blank=True)
    closing_lines = models.JSONField(null=True, blank=True)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "floor settings"
        constraints = [
            models.CheckConstraint(
                name="presence_is_confirmed_within_the_hour",
                condition=Q(presence_minutes__gte=2, presence_minutes__lte=60),
                violation_error_message=_lazy("Enter a number of minutes from 2 to 60."),
            ),
        ]

    def __str__(self) -> str:
        return f"floor of {self.shop}"


class ShopOpening(models.Model):
    """One time that a teacher opened a shop, for a class or for none. `answers` is the closing list as it was answered:
    {"line", "done", "seen_by", "note"}, with the key of the person and no name."""

    class ClosedBy(models.TextChoices):
        LIST = "list", _lazy("The closing list")
        LEFT = "left", _lazy("Left open until the next opening")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="openings")
    section = models.ForeignKey(Section, models.PROTECT, null=True, blank=True, related_name="+")
    opened_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    closed_how = models.CharField(max_length=4, choices=ClosedBy, blank=True)
    answers = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["opened_at", "pk"]
        indexes = [models.Index(fields=["shop", "opened_at"], name="openings_of_shop")]
        constraints = [
            models.UniqueConstraint(
                fields=["shop"],
                condition=Q(closed_at__isnull=True),
                name="shop_is_open_once",
                violation_error_message=_lazy("This shop is open already."),
            ),
            models.CheckConstraint(
                name="opening_is_closed_by_a_person",
                condition=Q(closed_at__isnull=True, closed_by__isnull=True, closed_how="")
                | (Q(closed_at__gte=F("opened_at"), closed_by__isnull=False) & Q(closed_how__in=["list", "left"])),
                violation_error_message=_lazy("A shop is closed once, by a person."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shop} opened for {self.section or 'no class'}"


class PresenceConfirmation(models.Model):
    """A teacher's confirmation of being in the shop. The last one says who supervises, and until when.

    at      the moment of the act, never before the last entry of the logbook
    clock   what the server's clock showed: while a clock that was set back catches up, `at` would not move
    """

    class Means(models.TextChoices):
        OPENED = "opened", _lazy("Opening the shop")
        BUTTON = "button", _lazy("The button")
        TAKEN_OVER = "taken over", _lazy("Taking over")
        SIGN_OFF = "sign-off", _lazy("A sign-off")
        START = "start", _lazy("A start")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    opening = models.ForeignKey(ShopOpening, models.PROTECT, related_name="presence")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    means = models.CharField(max_length=10, choices=Means)
    at = models.DateTimeField()
    clock = models.DateTimeField()
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="presence_is_confirmed_by_known_means",
                condition=Q(means__in=["opened", "button", "taken over", "sign-off", "start"]),
                violation_error_message=_lazy(
                    "Presence is confirmed by the button, a sign-off, a start or by taking over."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.by} in {self.opening}"


class EndOfRuns(models.Model):
    """A teacher ended all runs of an opening. Nothing may run until a teacher lets machines run again."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    opening = models.ForeignKey(ShopOpening, models.PROTECT, related_name="ends")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["opening"],
                condition=Q(lifted_at__isnull=True),
                name="runs_are_ended_once",
                violation_error_message=_lazy("All runs were ended already."),
            ),
            models.CheckConstraint(
                name="end_of_runs_is_lifted_by_a_person",
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True)
                | Q(lifted_at__gte=F("at"), lifted_by__isnull=False),
                violation_error_message=_lazy("Machines are let run again once, by a person."),
            ),
        ]

    def __str__(self) -> str:
        return f"all runs ended in {self.opening}"


class SupervisingGrant(models.Model):
    """A substitute may run the shop with one class on one day. The grant ends with the day."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    section = models.ForeignKey(Section, models.PROTECT, related_name="supervising")
    substitute = models.ForeignKey(Person, models.PROTECT, related_name="+")
    day = models.DateField()
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField("made by the page for one tap", unique=True, default=uuid.uuid4)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["section", "substitute", "day"],
                condition=Q(withdrawn_at__isnull=True),
                name="supervising_is_granted_once_a_day",
                violation_error_message=_lazy("This substitute may supervise the class on that day already."),
            ),
            models.CheckConstraint(
                name="nobody_grants_supervising_to_themselves",
                condition=~Q(by=F("substitute")),
                violation_error_message=_lazy("No one grants supervising to themselves."),
            ),
            models.CheckConstraint(
                name="supervising_is_withdrawn_by_a_person",
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__gte=F("at"), withdrawn_by__isnull=False),
                violation_error_message=_lazy("A grant is withdrawn once, by a person."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.substitute} with {self.section} on {self.day}"
