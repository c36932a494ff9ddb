"""The school, its shops, its terms, its classes."""

from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from shopsafe.conventions import Conventions
from shopsafe.language.messages import _


def is_time_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(_("Choose a time zone from the list, such as America/Chicago."))


class School(models.Model):
    """The tenant: every other row belongs to exactly one school, and nothing crosses."""

    name = models.CharField(max_length=120, unique=True)
    time_zone = models.CharField(max_length=64, default="America/Chicago", validators=[is_time_zone])
    year_first_month = models.PositiveSmallIntegerField(
        "month in which the school year begins",
        default=8,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
    )
    conventions = models.CharField(
        "how dates, times and distances are written",
        max_length=13,
        choices=[(item.value, item.value) for item in Conventions],
        default=Conventions.UNITED_STATES.value,
        db_default=Conventions.UNITED_STATES.value,
    )
    is_demo = models.BooleanField(default=False, db_default=False)
    keep_years = models.PositiveSmallIntegerField(
        "years a record is kept after the student has left", null=True, blank=True
    )
    keep_years_injury = models.PositiveSmallIntegerField("and after an injury", null=True, blank=True)

    idle_minutes_student = models.PositiveSmallIntegerField(
        "minutes without use after which a student is signed out", default=10, db_default=10
    )
    idle_minutes_staff = models.PositiveSmallIntegerField("and staff", default=30, db_default=30)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="idle_end_is_within_a_school_day",
                condition=Q(idle_minutes_student__gte=2, idle_minutes_student__lte=480)
                & Q(idle_minutes_staff__gte=2, idle_minutes_staff__lte=480),
                violation_error_message=gettext_lazy("Enter a number of minutes from 2 to 480."),
            ),
            models.CheckConstraint(
                name="records_are_kept_a_year_or_more",
                condition=(Q(keep_years__isnull=True) | Q(keep_years__gte=1, keep_years__lte=100))
                & (Q(keep_years_injury__isnull=True) | Q(keep_years_injury__gte=1, keep_years_injury__lte=100)),
                violation_error_message=gettext_lazy("Give a number of years from 1 to 100, or leave it empty."),
            ),
            models.CheckConstraint(
                name="school_year_first_month_is_a_month",
                condition=Q(year_first_month__gte=1, year_first_month__lte=12),
                violation_error_message=gettext_lazy("The school year begins in a month from 1 to 12."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Shop(models.Model):
    """A room with machines. Several teachers may share it."""

    school = models.ForeignKey(School, models.PROTECT, related_name="shops")
    name = models.CharField(max_length=80)
    teachers = models.ManyToManyField("school.Person", related_name="shops", blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["school", "name"],
                name="shop_name_once_a_school",
                violation_error_message=gettext_lazy("This school has a shop of that name already."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Term(models.Model):
    """A span of days; both the first and the last belong to it."""

    school = models.ForeignKey(School, models.PROTECT, related_name="terms")
    name = models.CharField(max_length=80)
    first_day = models.DateField()
    last_day = models.DateField()

    class Meta:
        ordering = ["-first_day"]
        constraints = [
            models.UniqueConstraint(
                fields=["school", "name"],
                name="term_name_once_a_school",
                violation_error_message=gettext_lazy("This school has a term of that name already."),
            ),
            models.CheckConstraint(
                name="term_ends_after_it_begins",
                condition=Q(last_day__gte=F("first_day")),
                violation_error_message=gettext_lazy("The last day of a term can't be before its first day."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Section(models.Model):
    """A class: one taught group in one term. (`class` is a reserved word.)"""

    school = models.ForeignKey(School, models.PROTECT, related_name="sections")
    term = models.ForeignKey(Term, models.PROTECT, related_name="sections")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="sections")
    name = models.CharField(max_length=80)
    teachers = models.ManyToManyField("school.Person", related_name="sections", blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["term", "name"],
                name="section_name_once_a_term",
                violation_error_message=gettext_lazy("This term has a class of that name already."),
            ),
        ]

    def __str__(self) -> str:
        return self.name
