"""What a shop says in its own words on the sheets that are handed out: the safety agreement, the substitute sheet."""

from django.db import models
from django.utils.translation import gettext_lazy

from shopsafe.school.models.people import Person
from shopsafe.school.models.places import School, Shop


class SheetWords(models.Model):
    """The words of one sheet of one shop. Rows are added, never changed: the latest one is printed."""

    class EditableSheet(models.TextChoices):
        AGREEMENT = "agreement", gettext_lazy("Safety agreement")
        SUBSTITUTE = "substitute", gettext_lazy("Substitute sheet")

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="sheet_words")
    sheet = models.CharField(max_length=10, choices=EditableSheet)
    words = models.JSONField("what it says, by the names of its parts")
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "sheet words"
        ordering = ["set_at", "pk"]
        indexes = [models.Index(fields=["shop", "sheet"], name="words_of_a_sheet")]
        constraints = [
            models.CheckConstraint(
                name="words_are_of_a_known_sheet",
                condition=models.Q(sheet__in=["agreement", "substitute"]),
                violation_error_message=gettext_lazy(
                    "Only the safety agreement and the substitute sheet have words of their own."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_sheet_display()} of {self.shop}"
