"""Begins and ends sign-ins. Whatever ends one deletes its row, so that its cookie opens nothing in any worker."""

from datetime import datetime

from django.contrib.auth import login
from django.db import connection, transaction
from django.http import HttpRequest

from shopsafe.school.models import Person, Session
from shopsafe.school.signing_in.sessions.store import store_of

BACKEND = "shopsafe.school.signing_in.backends.PersonBackend"
CLEARED_AT_ONCE = 50  # rows: a sign-in never waits for a year's clearing


def begin_session(request: HttpRequest, person: Person) -> None:
    """Sign this person in, in this browser."""
    store_of(request).signing_in = person
    login(request, person, backend=BACKEND)


def end_sessions(person: Person, *, besides: str = "") -> None:
    """End every sign-in of this person, except the session with the key `besides`."""
    Session.objects.filter(person=person).exclude(session_key=besides).delete()


@transaction.atomic
def clear_ended_sessions(at: datetime, most: int = CLEARED_AT_ONCE) -> int:
    """Delete up to `most` sessions that have ended; return how many. The oldest go first."""
    ended = Session.objects.filter(expire_date__lte=at).order_by("expire_date")
    if connection.features.has_select_for_update_skip_locked:
        ended = ended.select_for_update(skip_locked=True)
    keys = list(ended.values_list("pk", flat=True)[:most])
    return Session.objects.filter(pk__in=keys).delete()[0] if keys else 0
