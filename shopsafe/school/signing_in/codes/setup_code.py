"""The setup code of an installation: who sees the server's terminal may begin the first school, no one else."""

import hmac

from django.conf import settings

from shopsafe.school.naming.rules.names import sign_in_key
from shopsafe.school.signing_in.rules.slips import ALPHABET, LENGTH, printed


def setup_code() -> str:
    """Always the same for one installation, so that it can be printed at every start and is kept nowhere."""
    digest = hmac.new(settings.SECRET_KEY.encode(), b"setup code", "sha256").digest()
    return printed("".join(ALPHABET[byte % len(ALPHABET)] for byte in digest[:LENGTH]))


def is_setup_code(typed: str) -> bool:
    """In any case, with or without the dash."""
    return hmac.compare_digest(plain(typed), plain(setup_code()))


def plain(code: str) -> bytes:
    return sign_in_key(code).encode()
