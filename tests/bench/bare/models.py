"""The tables of the bare site: an answer, a result and a record, without a guard."""

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


class BareResult(models.Model):
    """What came of an attempt."""

    attempt = models.UUIDField(unique=True)
    handed_in_at = models.DateTimeField()
    correct = models.IntegerField()

    class Meta:
        app_label = "bare"

    def __str__(self) -> str:
        return f"result of {self.attempt}"


class BareRecord(models.Model):
    """An entry of a logbook that proves nothing, or a sign-off."""

    kind = models.CharField(max_length=40)
    about = models.BigIntegerField(db_index=True)
    payload = models.JSONField()
    at = models.DateTimeField()

    class Meta:
        app_label = "bare"

    def __str__(self) -> str:
        return f"{self.kind} of {self.about}"
