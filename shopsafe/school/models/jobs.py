"""The jobs that the server does by itself every night: when each last ran, and with what result."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy


class Job(models.Model):
    """One row a job, of the whole installation. `claim` names the process that runs it now, `beat_at` when that process
    was last heard of. `result` says what the last run did, or why it failed."""

    code = models.CharField(max_length=20, unique=True)
    claim = models.UUIDField(null=True, blank=True)
    began_at = models.DateTimeField(null=True, blank=True)
    beat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    failed = models.BooleanField(default=False, db_default=False)
    result = models.CharField(max_length=500, blank=True)
    succeeded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="job_is_claimed_with_a_beginning",
                condition=Q(claim__isnull=True) | Q(began_at__isnull=False, beat_at__isnull=False),
                violation_error_message=gettext_lazy("A job that runs has a beginning."),
            ),
        ]

    def __str__(self) -> str:
        return self.code
