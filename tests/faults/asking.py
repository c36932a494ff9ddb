"""A client that sends forms to a real server, and knows whether it was answered."""

import http.client
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Mapping, Sequence
from http.cookiejar import CookieJar
from typing import Any

PATIENCE = 60  # seconds; a busy machine is not taken for a broken one


class Unanswered(Exception):
    """The server went away before it answered: what was asked may have been done or not."""


class Stay(urllib.request.HTTPRedirectHandler):
    """A redirect is an answer: it says that the deed was done."""

    def redirect_request(self, *args: Any, **more: Any) -> None:
        return None


class Client:
    """One browser: its cookies, its form token."""

    def __init__(self, url: str) -> None:
        self.url = url
        self.jar = CookieJar()
        self.said = b""  # the body of the last answer
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar), Stay)

    @property
    def token(self) -> str:
        """What a form carries so that it is taken."""
        return next(str(cookie.value) for cookie in self.jar if cookie.name == "csrf")

    @property
    def cookie(self) -> str:
        """All cookies, as a browser sends them."""
        return "; ".join(f"{cookie.name}={cookie.value}" for cookie in self.jar)

    def sign_in(self, name: str, code: str) -> None:
        self.get("/sign-in/")
        status = self.post("/sign-in/", {"name": [name], "code": [code]})
        assert status == 302, f"{name} can't sign in: {status}"

    def get(self, path: str) -> int:
        return self._asked(urllib.request.Request(self.url + path))

    def post(self, path: str, fields: Mapping[str, Sequence[str]]) -> int:
        """The status. Raises Unanswered."""
        body = urllib.parse.urlencode({**fields, "csrfmiddlewaretoken": [self.token]}, doseq=True)
        return self._asked(urllib.request.Request(self.url + path, body.encode()))

    def _asked(self, request: urllib.request.Request) -> int:
        try:
            with self.opener.open(request, timeout=PATIENCE) as answer:
                self.said = answer.read()
                return int(answer.status)
        except urllib.error.HTTPError as answered:
            with answered:
                return answered.code
        except (OSError, http.client.HTTPException) as gone:
            raise Unanswered from gone
