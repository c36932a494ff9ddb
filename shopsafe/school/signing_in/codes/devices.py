"""The device that a request comes from: a random number in a cookie that only signing in reads.

It tells a laptop on which a student has signed in before from one that guesses. It proves nothing. A network address is
never asked for: a whole school shares one. The database keeps a digest, so that a copy of it makes no known device.
"""

import hashlib
import re
import secrets

from django.conf import settings
from django.http import HttpRequest, HttpResponse

KEPT_FOR = 400 * 24 * 60 * 60  # seconds; browsers keep no cookie longer
NUMBER = re.compile(r"[A-Za-z0-9_-]{43}")


def device_of(request: HttpRequest) -> str:
    """The digest of the device's number; empty for a browser that keeps no cookie."""
    number = request.COOKIES.get(settings.DEVICE_COOKIE_NAME, "")
    return digest_of(number) if NUMBER.fullmatch(number) else ""


def digest_of(number: str) -> str:
    return hashlib.sha256(number.encode()).hexdigest()


def give_number(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """A device without a number gets one with the sign-in page. Signing out leaves it."""
    if not device_of(request):
        response.set_cookie(
            settings.DEVICE_COOKIE_NAME,
            secrets.token_urlsafe(32),
            max_age=KEPT_FOR,
            secure=settings.HTTPS,
            httponly=True,
            samesite="Lax",
        )
    return response
