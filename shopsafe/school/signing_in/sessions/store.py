"""Where a session is kept: in its row of the database alone, and read with the person and the school in one statement.

No worker keeps a session in its memory: a row that is gone is gone for every worker with the next request. The cookie
holds a random key and nothing else, so what the row holds needs no signature.
"""

import json
from datetime import datetime, timedelta
from typing import Any, cast

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends import db
from django.contrib.sessions.backends.base import UpdateError
from django.db import OperationalError
from django.http import HttpRequest
from django.utils import timezone

from shopsafe.school.models import Person, Session
from shopsafe.school.signing_in.rules.idle import end_of_sign_in, is_to_be_noted
from shopsafe.school.signing_in.sessions.statements import session_by_key

LONGEST = timedelta(seconds=settings.SESSION_COOKIE_AGE)


class SessionStore(db.SessionStore):
    row: Session | None = None  # as it was read; None before, and for a session that is new or gone
    signing_in: Person | None = None  # whose session this becomes when it is saved

    @classmethod
    def get_model_class(cls) -> type[Session]:
        return Session

    @property
    def person(self) -> Person | None:
        """The person whose session this is, with the school; loads it if need be."""
        return self.row.person if SESSION_KEY in self and self.row else None

    def load(self) -> dict[str, Any]:
        self.row = session_by_key(self.session_key or "", timezone.now())
        if self.row is None:
            self._session_key = None
            return {}
        return self.decode(self.row.session_data)

    def save(self, must_create: bool = False) -> None:
        """A database that can't store says so: Django takes every failure for a session that someone else ended."""
        try:
            super().save(must_create)
        except UpdateError as failed:
            if isinstance(failed.__context__, OperationalError):
                raise failed.__context__ from None
            raise

    def encode(self, session_dict: dict[str, Any]) -> str:
        return json.dumps(session_dict, separators=(",", ":"))

    def decode(self, session_data: bytes | str) -> dict[str, Any]:
        data: dict[str, Any] = json.loads(session_data)
        return data

    def create_model_instance(self, data: dict[str, Any]) -> Session:
        at = timezone.now()
        began_at = self.row.began_at if self.row else at
        person = self.signing_in or (self.row.person if self.row else None)
        return Session(
            session_key=self.session_key or "",  # Django draws it before it saves
            session_data=self.encode(data),
            person_id=data.get(SESSION_KEY),
            began_at=began_at,
            seen_at=at,
            expire_date=_end(began_at, at, person) if person else began_at + LONGEST,
        )

    def note_use(self, at: datetime) -> None:
        """Store that the person is here, once a minute. A session that was ended in the meantime stays ended."""
        row = self.row
        if row is None or row.person is None or not is_to_be_noted(seen_at=row.seen_at, at=at):
            return
        end = _end(row.began_at, at, row.person)
        try:
            Session.objects.filter(pk=row.pk).update(seen_at=at, expire_date=end)
        except OperationalError:  # the database is busy: the next request notes it
            return


def store_of(request: HttpRequest) -> SessionStore:
    """The session of a request, by the type that it has."""
    return cast(SessionStore, request.session)


def _end(began_at: datetime, seen_at: datetime, person: Person) -> datetime:
    return end_of_sign_in(began_at=began_at, seen_at=seen_at, idle=person.idle_end, longest=LONGEST)
