"""Who asks: the session's person on every request, and the note that the person is still here."""

from typing import cast

from django.contrib.auth import HASH_SESSION_KEY
from django.contrib.auth.middleware import AuthenticationMiddleware
from django.contrib.auth.models import AnonymousUser
from django.contrib.sessions.middleware import SessionMiddleware as DjangoSessionMiddleware
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.utils.functional import SimpleLazyObject

from shopsafe.school.models import Person
from shopsafe.school.pages.middleware import BY_ITSELF
from shopsafe.school.signing_in.sessions.store import store_of


class SessionMiddleware(DjangoSessionMiddleware):
    """Django's, and use is noted."""

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        response = super().process_response(request, response)
        if response.status_code < 500 and BY_ITSELF not in request.headers:
            store_of(request).note_use(timezone.now())
        return response


class PersonMiddleware(AuthenticationMiddleware):
    """Django's, but `request.user` is read together with the session in one statement."""

    def process_request(self, request: HttpRequest) -> None:
        request.user = cast(Person, SimpleLazyObject(lambda: person_of(request)))


def person_of(request: HttpRequest) -> Person | AnonymousUser:
    """The person who is signed in. A session of someone whose access has ended, or from before a new password or
    another role, is deleted."""
    session = store_of(request)
    person = session.person
    if person is None:
        return AnonymousUser()
    signed_in_with = session.get(HASH_SESSION_KEY, "")
    if person.is_active and constant_time_compare(signed_in_with, person.get_session_auth_hash()):
        return person
    session.flush()
    return AnonymousUser()
