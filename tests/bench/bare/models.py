"""The table of the bare site: an answer without a guard."""

from django.db import models


class BareAnswer(models.Model):
    attempt = models.UUIDField()
    question = models.CharField(max_length=80)
    response = models.JSONField()
    saved_at = models.DateTimeField()

    class Meta:
        app_label = "bare"
        constraints = [models.UniqueConstraint(fields=["attempt", "question"], name="one_bare_answer_a_question")]

    def __str__(self) -> str:
        return f"answer to {self.question}"
