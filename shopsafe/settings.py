"""Settings. Everything a school sets from outside comes from the environment or from a file in var/."""

import os
import secrets
from pathlib import Path
from urllib.parse import urlsplit

import dj_database_url
from django.utils.csp import CSP

from shopsafe.database import sqlite
from shopsafe.files import private_files
from shopsafe.language import languages

sqlite.use_current_sqlite()

# Before numpy is first imported. Its matrix products would else start a thread for each core and wait for all of them:
# with other work on the cores a product that takes a millisecond then takes a hundred.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

BASE_DIR = Path(__file__).resolve().parent.parent
VAR = Path(os.environ.get("SHOPSAFE_VAR", BASE_DIR / "var"))
private_files.write_for_the_owner_alone()
private_files.make_private(VAR)


def kept_secret(name: str) -> str:
    """The secret in var/`name`, made on the first start; readable by its owner alone."""
    path = VAR / name
    if not path.exists():
        VAR.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(50))
    return path.read_text()


SECRET_KEY = os.environ.get("SHOPSAFE_SECRET_KEY") or kept_secret("secret_key")
DEBUG = os.environ.get("SHOPSAFE_DEBUG") == "1"

# Where the pages are reached from outside: printed in codes, and trusted as host and origin.
# HOST is an address, as .ci/run.sh asks for; some shells set it to a name by themselves.
HOST = os.environ.get("HOST", "")
HOST = HOST if HOST.replace(".", "").isdecimal() and HOST != "0.0.0.0" else "127.0.0.1"  # noqa: S104  nothing listens here
SITE_URL = os.environ.get("SITE_URL", f"http://{HOST}:{os.environ.get('PORT', '8000')}").rstrip("/")
HTTPS = SITE_URL.startswith("https://")
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", urlsplit(SITE_URL).hostname or "localhost"]
CSRF_TRUSTED_ORIGINS = [SITE_URL]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "shopsafe.logbook",
    "shopsafe.school",
    "quizzes",
    "machines",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "shopsafe.serving.middleware.FrontMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "shopsafe.school.signing_in.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "shopsafe.school.signing_in.sessions.middleware.PersonMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shopsafe.school.pages.middleware.SchoolMiddleware",
]

ROOT_URLCONF = "shopsafe.urls"
WSGI_APPLICATION = "shopsafe.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shopsafe.school.pages.context.sheet",
            ],
            "builtins": [
                "django.templatetags.static",
                "shopsafe.school.templatetags.drawing",
                "shopsafe.language.tags",
                "quizzes.templatetags.numbers",
            ],
            "loaders": [("shopsafe.language.loader.Loader", ["django.template.loaders.filesystem.Loader"])],
        },
    },
]

DATABASES = {"default": dj_database_url.config(default=f"sqlite:///{VAR / 'shopsafe.sqlite3'}", conn_max_age=600)}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    Path(DATABASES["default"]["NAME"]).parent.mkdir(parents=True, exist_ok=True)
    private_files.make_private(Path(DATABASES["default"]["NAME"]))
    DATABASES["default"]["OPTIONS"] = sqlite.options()
    # Threaded tests need a file: an in-memory database is one connection's own.
    DATABASES["default"]["TEST"] = {"NAME": os.environ.get("SHOPSAFE_TEST_DB")}

AUTH_USER_MODEL = "school.Person"
AUTHENTICATION_BACKENDS = ["shopsafe.school.signing_in.backends.PersonBackend"]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
PASSWORD_HASHERS = ["shopsafe.school.signing_in.hashers.SchoolArgon2Hasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

# The language of the pages and prints: English, or one that has a catalog (`manage.py messages`).
LOCALE_PATHS = [BASE_DIR / "locale"]
LANGUAGES = sorted(languages.offered(LOCALE_PATHS[0]).items())
LANGUAGE_CODE = languages.chosen(os.environ.get("LANGUAGE", ""), dict(LANGUAGES))
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = VAR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "shopsafe.static_files.StaticFiles"},
}
WHITENOISE_KEEP_ONLY_HASHED_FILES = True
MEDIA_ROOT = VAR / "media"

SESSION_ENGINE = "shopsafe.school.signing_in.sessions.store"
SESSION_COOKIE_AGE = 8 * 60 * 60
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_NAME = "__Host-shopsafe" if HTTPS else "shopsafe"
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "csrf"
DEVICE_COOKIE_NAME = "__Host-device" if HTTPS else "device"
CSRF_COOKIE_HTTPONLY = False
CSRF_FAILURE_VIEW = "shopsafe.school.pages.error_views.csrf_failed"
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_SSL_REDIRECT = HTTPS
if os.environ.get("BEHIND_PROXY") == "1":
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# HSTS for subdomains and for browsers' preload lists would bind hosts of the school that are not ours.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_CSP = {
    "default-src": [CSP.NONE],
    "object-src": [CSP.NONE],
    "base-uri": [CSP.NONE],
    "frame-ancestors": [CSP.NONE],
    "script-src": [CSP.SELF],
    "style-src": [CSP.SELF],
    "img-src": [CSP.SELF],
    "font-src": [CSP.SELF],
    "connect-src": [CSP.SELF],
    "form-action": [CSP.SELF],
}

DATA_UPLOAD_MAX_MEMORY_SIZE = 3 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 3 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000

# PDFs are made in a process apart, which is stopped when it takes longer or more than this.
PRINT_APART = True
PRINT_SECONDS = 60
PRINT_MEGABYTES = 1024
# Where sets of prints lie until they are fetched, a day at most.
PRINTS = VAR / "prints"
# The backups of every night, and how many of them are kept.
BACKUPS = Path(os.environ.get("BACKUP_FOLDER") or VAR / "backups")
BACKUPS_KEPT = int(os.environ.get("BACKUPS_KEPT", "14"))
# Whether a request may start a process for work in the background: a set of prints, a check of the logbook.
WORKERS = True

# Checkpoints of the logbook are mailed to these addresses (CHECKPOINT_MAIL=one@school.example,two@school.example) if a
# mail server is named. Its password is read from a file.
CHECKPOINT_MAIL = [part.strip() for part in os.environ.get("CHECKPOINT_MAIL", "").split(",") if part.strip()]
MAIL_PASSWORD_FILE = os.environ.get("MAIL_PASSWORD_FILE", "")
if CHECKPOINT_MAIL and os.environ.get("MAIL_HOST"):
    MAILERS = {
        "default": {
            "BACKEND": "django.core.mail.backends.smtp.EmailBackend",
            "OPTIONS": {
                "host": os.environ["MAIL_HOST"],
                "port": int(os.environ.get("MAIL_PORT", "587")),
                "username": os.environ.get("MAIL_USER", ""),
                "password": Path(MAIL_PASSWORD_FILE).read_text().strip() if MAIL_PASSWORD_FILE else "",
                "use_tls": os.environ.get("MAIL_TLS", "1") == "1",
                "timeout": 30,
            },
        }
    }
    DEFAULT_FROM_EMAIL = os.environ.get("MAIL_FROM") or CHECKPOINT_MAIL[0]

SHELF = BASE_DIR / "fixtures" / "shelf"
DEMO = BASE_DIR / "fixtures" / "demo"
INSPECTIONS = BASE_DIR / "fixtures" / "inspections"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # A wrong code or a half-filled form is answered with a sentence: it is no event of the server's.
    "loggers": {"django.request": {"level": "ERROR"}},
}
