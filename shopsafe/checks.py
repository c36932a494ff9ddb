"""Our own checks of `manage.py check --deploy`: what must hold before a school trusts a server with its records."""

import os
import re
from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.utils.csp import CSP

from shopsafe.language import languages

LOOSE = {CSP.UNSAFE_INLINE, CSP.UNSAFE_EVAL, "*"}


@register(Tags.security, deploy=True)
def headers(**_: Any) -> Iterator[CheckMessage]:
    """No page may run or load what is not ours."""
    for name, sources in settings.SECURE_CSP.items():
        if LOOSE & set(sources):
            yield Error(f"SECURE_CSP lets {name} load from anywhere or inline.", id="shopsafe.E001")
    if CSP.NONE not in settings.SECURE_CSP.get("frame-ancestors", []):
        yield Error("SECURE_CSP must forbid framing (frame-ancestors 'none').", id="shopsafe.E002")


@register(Tags.security, deploy=True)
def cookies(**_: Any) -> Iterator[CheckMessage]:
    """A session belongs to one host over HTTPS, and ends with the school day."""
    for name in (settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME, settings.DEVICE_COOKIE_NAME):
        if not name.startswith("__Host-"):
            yield Error(
                f'Cookie "{name}" is not bound to this host. Set SITE_URL to an https:// address.', id="shopsafe.E003"
            )
    if settings.SESSION_COOKIE_AGE > 12 * 60 * 60:
        yield Error("A session may last a school day, not longer (SESSION_COOKIE_AGE).", id="shopsafe.E004")


@register(Tags.database, deploy=True)
def durability(**_: Any) -> Iterator[CheckMessage]:
    """A sign-off that was shown as done is on the disk."""
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        options = database.get("OPTIONS", {})
        if options.get("transaction_mode") != "IMMEDIATE":
            yield Error(
                "SQLite must begin its transactions IMMEDIATE: otherwise writers fail halfway.", id="shopsafe.E005"
            )
        if not re.search(r"synchronous=(FULL|EXTRA)", options.get("init_command", "")):
            yield Error("SQLite must run with synchronous FULL or EXTRA.", id="shopsafe.E006")
    if database.get("ATOMIC_REQUESTS"):
        yield Error("ATOMIC_REQUESTS would answer before the record is committed.", id="shopsafe.E007")


@register(Tags.translation)
def language(**_: Any) -> Iterator[CheckMessage]:
    """The language that shop.env asks for is one of those that are there."""
    wanted = languages.asked_for(os.environ.get("LANGUAGE", ""))
    if wanted and wanted not in dict(settings.LANGUAGES):
        here = ", ".join(code for code, _name in settings.LANGUAGES)
        yield Warning(
            f"LANGUAGE={wanted}: no catalog of this language is compiled, so pages are in English. Here are: {here}.",
            id="shopsafe.W001",
        )
