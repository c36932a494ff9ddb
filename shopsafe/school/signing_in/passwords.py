"""Whether a password that a staff member is to sign in with is good enough."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shopsafe.school.refusals import Refused


def must_be_strong(password: str, code: str) -> None:
    """Return if it is; otherwise raise Refused with this code, status 422, and what is wrong with it."""
    try:
        validate_password(password)
    except ValidationError as weak:
        raise Refused(code, " ".join(weak.messages), 422) from weak
