"""Settings of the tests: the project's own, made fast and kept away from the real data in var/."""

import os
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
os.environ.setdefault("SHOPSAFE_VAR", str(ROOT / "var" / "test"))
os.environ.setdefault("SHOPSAFE_SECRET_KEY", "for tests only, and longer than fifty characters: 0123456789 abcdef")
# The browser's driver runs an event loop in this thread, which makes Django refuse plain database calls beside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

from shopsafe.settings import *  # noqa: E402, F403  the environment above comes first; a settings file is all names
from shopsafe.settings import DATABASES, STORAGES, TEMPLATES, VAR  # noqa: E402  the same

# A real hash takes 18 ms. Tests of the real hasher name it themselves.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# Whatever the desktop of this machine speaks.
LANGUAGE_CODE = "en"

# No `collectstatic` before a test: names stay as they are in static/.
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
WHITENOISE_AUTOREFRESH = True

# An error in a template names its line.
TEMPLATES[0]["OPTIONS"]["debug"] = True

# A file, as in a school: a database in memory is one connection's own, and tests of two at once need two. It need not
# survive a power cut; the tests that kill a server start one with the project's own settings.
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {"NAME": os.environ.get("SHOPSAFE_TEST_DB", VAR / "test.sqlite3")}
    DATABASES["default"]["OPTIONS"]["init_command"] += " PRAGMA synchronous=OFF;"

# Starting a press takes a second. Tests of the press start their own.
PRINT_APART = False
# Tests of sets call the worker themselves.
WORKERS = False
MAILERS = {"default": {"BACKEND": "django.core.mail.backends.locmem.EmailBackend"}}
