"""The project's settings with Django's own sessions, people and middleware, as a new Django project has them."""

from shopsafe.settings import *  # noqa: F403  a settings file is all names
from shopsafe.settings import INSTALLED_APPS as OURS
from shopsafe.settings import STORAGES

INSTALLED_APPS = [*OURS, "django.contrib.sessions", "tests.bench.bare"]
AUTHENTICATION_BACKENDS = [
    "shopsafe.school.signing_in.backends.PersonBackend",
    "django.contrib.auth.backends.ModelBackend",
]
ROOT_URLCONF = "tests.bench.bare.urls"
# What a server of the bare site is started with; afterwards it asks for none of these.
BARE = {
    "SESSION_ENGINE": "django.contrib.sessions.backends.db",
    "MIDDLEWARE": [
        "django.middleware.security.SecurityMiddleware",
        "django.contrib.sessions.middleware.SessionMiddleware",
        "django.middleware.common.CommonMiddleware",
        "django.middleware.csrf.CsrfViewMiddleware",
        "django.contrib.auth.middleware.AuthenticationMiddleware",
        "django.contrib.messages.middleware.MessageMiddleware",
        "django.middleware.clickjacking.XFrameOptionsMiddleware",
    ],
}
# No `collectstatic` before a measurement.
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
