"""Who reviewed an edition for the school: a safety officer, a department head, an engineer from outside."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from quizzes.models.banks import Edition
from shopsafe.school.models import Person, School


class Review(models.Model):
    """Someone has read the print of an edition and signed it; a teacher records name, role and day.

    A review lets no one do anything: a teacher of the shop still approves the rules. It may be withdrawn; nothing is
    deleted.
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    edition = models.ForeignKey(Edition, models.PROTECT, related_name="reviews")
    name = models.CharField("who reviewed it", max_length=80)
    role = models.CharField("such as safety officer", max_length=80)
    reviewed_on = models.DateField()
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["reviewed_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["edition", "name", "reviewed_on"],
                condition=Q(withdrawn_at__isnull=True),
                name="one_review_a_person_and_day",
                violation_error_message=gettext_lazy("This review is recorded already."),
            ),
            models.CheckConstraint(
                name="review_names_its_reviewer",
                condition=~Q(name="") & ~Q(role=""),
                violation_error_message=gettext_lazy("Give the name and the role of the reviewer."),
            ),
            models.CheckConstraint(
                name="review_is_withdrawn_with_a_reason",
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True, withdrawn_reason="")
                | (Q(withdrawn_at__gte=F("at"), withdrawn_by__isnull=False) & ~Q(withdrawn_reason="")),
                violation_error_message=gettext_lazy("Say why the review is withdrawn."),
            ),
        ]

    def __str__(self) -> str:
        return f"review of {self.edition}"
