"""Sends a request to a site in the same process, as a server would hand it over: signed in, and refused if it fails."""

import io
import sys
from typing import Any
from urllib.parse import urlencode

SECRET = "c" * 32  # a CSRF token without its mask


def our_cookie(person: Any) -> str:
    """A sign-in of this person in our sessions."""
    from shopsafe.school.signing_in.sessions.lifetime import BACKEND
    from shopsafe.school.signing_in.sessions.store import SessionStore

    store = SessionStore()
    store.signing_in = person
    return _saved(store, person, BACKEND)


def bare_cookie(person: Any) -> str:
    """The same in Django's own."""
    from django.contrib.sessions.backends.db import SessionStore

    return _saved(SessionStore(), person, "django.contrib.auth.backends.ModelBackend")


def _saved(store: Any, person: Any, backend: str) -> str:
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY

    store[SESSION_KEY], store[BACKEND_SESSION_KEY] = str(person.pk), backend
    store[HASH_SESSION_KEY] = person.get_session_auth_hash()
    store.save()
    return f"shopsafe={store.session_key}; csrf={SECRET}"


def post(site: Any, path: str, cookie: str, fields: dict[str, str]) -> bytes:
    """What a script sends. A failing server looks fast: any answer but 200 ends the measurement."""
    return _ask(site, "POST", path, cookie, urlencode(fields).encode(), "application/json")


def send_form(site: Any, path: str, cookie: str, fields: dict[str, str | list[str]]) -> bytes:
    """What a form sends: it is answered with another address, and any other answer ends the measurement."""
    return _ask(site, "POST", path, cookie, urlencode(fields, doseq=True).encode(), "text/html", "302")


def get(site: Any, path: str, cookie: str) -> bytes:
    return _ask(site, "GET", path, cookie, b"", "text/html")


def _ask(site: Any, method: str, path: str, cookie: str, body: bytes, accept: str, expected: str = "200") -> bytes:
    environ = {
        "REQUEST_METHOD": method,
        "SCRIPT_NAME": "",
        "PATH_INFO": path,
        "QUERY_STRING": "",
        "SERVER_NAME": "127.0.0.1",
        "SERVER_PORT": "8000",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "HTTP_HOST": "127.0.0.1:8000",
        "HTTP_ACCEPT": accept,
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
    whole = b"".join(response)
    response.close()
    if not given[0].startswith(expected):
        raise SystemExit(f"{path}: {given[0]}")
    return whole
