"""Records that the office keeps beyond the school's rule, each with its reason."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from shopsafe.school.models.people import Person
from shopsafe.school.models.places import School


class Keeping(models.Model):
    """One student's record is not erased for as long as this stands. It goes with the record."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="keepings")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    ended_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student"],
                condition=Q(ended_at__isnull=True),
                name="kept_once",
                violation_error_message=gettext_lazy("This record is kept already."),
            ),
            models.CheckConstraint(
                name="kept_for_a_reason",
                condition=~Q(reason=""),
                violation_error_message=gettext_lazy("Say why the record is kept."),
            ),
            models.CheckConstraint(
                name="keeping_is_ended_by_somebody",
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__isnull=False, ended_by__isnull=False),
                violation_error_message=gettext_lazy("A keeping is ended once, by someone."),
            ),
        ]

    def __str__(self) -> str:
        return f"record of {self.student}, kept"
