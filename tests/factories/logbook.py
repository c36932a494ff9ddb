"""Entries of the logbook for tests of pages: what they say is made up, who they name is not."""

from datetime import UTC, datetime
from typing import Any

from django.db import transaction

from shopsafe.logbook.append import append
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person

AT = datetime(2026, 9, 14, 15, 5, 9, tzinfo=UTC)


@transaction.atomic
def note(student: Person, *, kind: str = "student.let_in", at: datetime = AT, **more: Any) -> Entry:
    return append(kind=kind, school=student.school_id, at=at, payload={"student": student.as_record(), **more})
