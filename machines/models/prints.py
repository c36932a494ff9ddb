"""Sheets as they were printed, each with its code: what is posted on a wall, and whether it still says what is true."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _lazy

from machines.models.machines import Machine
from shopsafe.school.models import Person, School, Section, Shop


class Print(models.Model):
    """One card or chart under one code. The same sheet printed again unchanged keeps its code.

    `target` says what it is of ("wall card:7:12:5,6", "pocket card:7:31"): at most one of a target is current. `shows`
    holds what the sheet says that may go out of date, by primary keys and a digest, so that no name is kept here.
    """

    class SheetKind(models.TextChoices):
        WALL_CARD = "wall card", _lazy("Wall card")
        WALL_CHART = "wall chart", _lazy("Wall chart")
        POCKET_CARD = "pocket card", _lazy("Pocket card")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="prints")
    code = models.CharField(max_length=7, unique=True)
    sheet = models.CharField(max_length=12, choices=SheetKind)
    target = models.CharField(max_length=200)
    machine = models.ForeignKey(Machine, models.PROTECT, null=True, blank=True, related_name="+")
    sections = models.ManyToManyField(Section, related_name="+", blank=True)  # none: the whole shop
    paper = models.CharField(max_length=8)
    shows = models.JSONField()
    printed_at = models.DateTimeField()
    printed_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    replaced_at = models.DateTimeField(null=True, blank=True)
    replaced_by = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="+")
    taken_down_at = models.DateTimeField(null=True, blank=True)
    taken_down_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["printed_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["target"],
                condition=Q(replaced_at__isnull=True, taken_down_at__isnull=True),
                name="one_current_print_of_a_target",
                violation_error_message=_lazy("Someone printed this a moment ago. Open the Print page again."),
            ),
            models.CheckConstraint(
                name="print_is_replaced_by_another",
                condition=Q(replaced_by__isnull=True) | (Q(replaced_at__isnull=False) & ~Q(replaced_by=F("pk"))),
                violation_error_message=_lazy("A print is replaced by another print."),
            ),
            models.CheckConstraint(
                name="print_is_taken_down_by_somebody",
                condition=Q(taken_down_at__isnull=True, taken_down_by__isnull=True)
                | Q(taken_down_at__isnull=False, taken_down_by__isnull=False),
                violation_error_message=_lazy("A print is taken down by someone."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_sheet_display()} {self.code}"

    @property
    def student_id(self) -> int | None:
        """Whose pocket card it is."""
        return int(self.target.rsplit(":", 1)[1]) if self.sheet == self.SheetKind.POCKET_CARD else None

    @property
    def current(self) -> bool:
        return self.replaced_at is None and self.taken_down_at is None
