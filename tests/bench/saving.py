"""Speed of what a student presses most, beside a bare Django view: saving an answer.

    python -m tests.bench.saving [--rounds 7] [--times 200] [--profile]

Prints one JSON object: processor time of one request, from the server's call to the response, SQLite with every commit
on the disk. The floor is tests/bench/bare: Django's own sessions and sign-in, CSRF, one select, one upsert in
`atomic()` and a small template, on the same database. Both change the answer with every request.
`queries` counts the statements.
"""

import argparse
import cProfile
import io
import itertools
import json
import os
import pstats
import sys
import tempfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tests.bench.timing import cpu_ratio

SECRET = "c" * 32  # a CSRF token without its mask


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--times", type=int, default=200)
    parser.add_argument("--profile", action="store_true")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "SHOPSAFE_VAR": folder,
            "DJANGO_SETTINGS_MODULE": "tests.bench.bare.settings",
            "DATABASE_URL": f"sqlite:///{Path(folder) / 'bench.sqlite3'}",
            "SITE_URL": "http://127.0.0.1:8000",
        }
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0, run_syncdb=True)
        floor, real = _requests()
        if options.profile:
            _print_profile(real, options.times)
            return
        figures = cpu_ratio(floor, real, times=options.times, rounds=options.rounds)
        figures |= {"queries": _statements(real), "floor_queries": _statements(floor)}
        json.dump({"save one answer": figures}, sys.stdout, indent=2)


def _requests() -> tuple[Callable[[], None], Callable[[], None]]:
    """One press on the bare site and one on ours, by one student on one attempt."""
    from django.core.handlers.wsgi import WSGIHandler
    from django.test.utils import override_settings
    from django.utils import timezone

    from quizzes.attempts.acts import start_attempt
    from quizzes.questions.form_data import lines_of
    from tests.bench.bare.settings import BARE
    from tests.cast import make_cast
    from tests.factories.banks import published

    cast, now = make_cast(), timezone.now()
    attempt = start_attempt(student=cast.student, bank=published(cast.teacher, at=now - timedelta(days=1)).pk, at=now)
    line = lines_of(attempt.form)[0]
    options = itertools.cycle([option.id for option in line.options])
    ours = WSGIHandler()
    with override_settings(**BARE):
        bare_site = WSGIHandler()
    bare_cookie, our_cookie = _bare_cookie(cast.student), _our_cookie(cast.student)
    bare_path = f"/bare/{attempt.pk}/{lines_of(attempt.form)[1].code}/save/"
    our_path = f"/attempts/{attempt.pk}/questions/1/save/"

    def press_bare() -> None:
        _send(bare_site, bare_path, bare_cookie, {"answer": next(options)})

    def press_ours() -> None:
        _send(ours, our_path, our_cookie, {"answer": next(options)})

    press_ours()
    return press_bare, press_ours


def _our_cookie(person: Any) -> str:
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY

    from shopsafe.school.signing_in.session_store import SessionStore
    from shopsafe.school.signing_in.sessions import BACKEND

    store = SessionStore()
    store[SESSION_KEY], store[BACKEND_SESSION_KEY] = str(person.pk), BACKEND
    store[HASH_SESSION_KEY] = person.get_session_auth_hash()
    store.signing_in = person
    store.save()
    return f"shopsafe={store.session_key}; csrf={SECRET}"


def _bare_cookie(person: Any) -> str:
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    store = SessionStore()
    store[SESSION_KEY], store[BACKEND_SESSION_KEY] = str(person.pk), "django.contrib.auth.backends.ModelBackend"
    store[HASH_SESSION_KEY] = person.get_session_auth_hash()
    store.save()
    return f"shopsafe={store.session_key}; csrf={SECRET}"


def _send(site: Any, path: str, cookie: str, fields: dict[str, str]) -> None:
    body = urlencode(fields).encode()
    environ = {
        "REQUEST_METHOD": "POST",
        "SCRIPT_NAME": "",
        "PATH_INFO": path,
        "QUERY_STRING": "",
        "SERVER_NAME": "127.0.0.1",
        "SERVER_PORT": "8000",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "HTTP_HOST": "127.0.0.1:8000",
        "HTTP_ACCEPT": "application/json",
        "HTTP_COOKIE": cookie,
        "HTTP_X_CSRFTOKEN": SECRET,
        "CONTENT_TYPE": "application/x-www-form-urlencoded",
        "CONTENT_LENGTH": str(len(body)),
        "REMOTE_ADDR": "127.0.0.1",
        "wsgi.input": io.BytesIO(body),
        "wsgi.errors": sys.stderr,
        "wsgi.url_scheme": "http",
        "wsgi.version": (1, 0),
        "wsgi.multithread": False,
        "wsgi.multiprocess": True,
        "wsgi.run_once": False,
    }
    given: list[str] = []
    response = site(environ, lambda status, headers, problem=None: given.append(status))
    b"".join(response)
    response.close()
    if not given[0].startswith("200"):
        raise SystemExit(f"{path}: {given[0]}")  # a failing server looks fast


def _statements(press: Callable[[], None]) -> int:
    from tests.counting import queries

    with queries() as sent:
        press()
    return len(sent)


def _print_profile(press: Callable[[], None], times: int) -> None:
    profile = cProfile.Profile()
    profile.enable()
    for _ in range(times):
        press()
    profile.disable()
    pstats.Stats(profile).sort_stats("cumulative").print_stats(70)


if __name__ == "__main__":
    main()
