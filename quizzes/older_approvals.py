"""Approvals of editions that a teacher published before approving was an act of its own.

A teacher who published had to say on that page that they had read the rules, so migration 0004 gave each such edition
its approval: by that teacher, at that moment, without an entry. The entry of an edition proves such an approval if the
edition was published before that migration ran, and before the first entry that only a later program writes: an
approval, a withdrawal of one, an edition from the starter banks, or one that says whether it is approved.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cached_property

from django.db import connection

from shopsafe.logbook.rules.chain import utc_second
from shopsafe.logbook.verification.older import Complete, OlderTime, Payload

MOMENT = "@"  # declared.MOMENT
PUBLISHED = "edition.published"
LATER = ("from", "approved")
MIGRATED = (
    "SELECT applied FROM django_migrations WHERE app = 'quizzes' AND name = '0004_accept_what_teachers_published'"
)


@dataclass
class ApprovalsByPublishing:
    """One reading of the logbook: until when publishing an edition approved it."""

    older: OlderTime = field(default_factory=OlderTime)

    @cached_property
    def until(self) -> str:
        """The second at which the migration ran, as the header of an entry writes it."""
        with connection.cursor() as cursor:
            cursor.execute(MIGRATED)
            row = cursor.fetchone()
        if row is None:
            return ""
        applied = datetime.fromisoformat(row[0]) if isinstance(row[0], str) else row[0]
        return utc_second(applied if applied.tzinfo else applied.replace(tzinfo=UTC))

    def complete(self, kind: str, payload: Payload) -> Payload | None:
        if kind != PUBLISHED or any(key in payload for key in LATER):
            self.older.end_at(payload)
            return payload if kind == "bank.accepted" else None
        approved = "by" in payload and self.older.holds(payload) and payload[MOMENT] < self.until
        return payload if approved else None


def approvals_by_publishing() -> Complete:
    return ApprovalsByPublishing().complete
