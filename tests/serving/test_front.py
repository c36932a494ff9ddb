"""The front: what the application is asked, and what is answered."""

import asyncio
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from shopsafe.serving.bodies import LARGE, LATE, NO_LENGTH, REFUSALS, Limits
from shopsafe.serving.environ import LAST_TRY, TRY_AGAIN, environ_of
from shopsafe.serving.front import SENT_AS_FILE, Front
from shopsafe.wsgi import application
from tests.serving.fake_server import FakeExchange, FakeHeaders, FakeScope, sent

FORM = b"name=Adam&code=WRONG"
FORM_TYPE = ("content-type", "application/x-www-form-urlencoded")


def ask(scope: FakeScope, exchange: FakeExchange | None = None, app: Any = application) -> FakeExchange:
    exchange = exchange or FakeExchange()
    asyncio.run(Front(app, Limits(seconds=0.05)).__rsgi__(scope, exchange))
    return exchange


def echo(environ: dict[str, Any], start: Any) -> list[bytes]:
    start("200 OK", [("Content-Type", "text/plain"), ("Set-Cookie", "a=1")])
    return [environ["REQUEST_METHOD"].encode(), b" ", environ["wsgi.input"].read()]


def test_application_gets_the_whole_body_and_its_answer_is_sent() -> None:
    answer = ask(FakeScope(sent(4)), FakeExchange([b"na", b"me"]), echo)
    assert (answer.status, answer.body) == (200, b"POST name")
    assert answer.headers == {"content-type": "text/plain", "set-cookie": "a=1"}


def test_environ_names_the_request_as_pep_3333_asks() -> None:
    headers = FakeHeaders(
        [("host", "shop"), ("cookie", "a=1"), ("cookie", "b=2"), ("x-a", "1"), ("x-a", "2"), FORM_TYPE]
    )
    environ = environ_of(FakeScope(headers, path="/é/", query_string="x=%20"), b"")
    assert environ["PATH_INFO"].encode("latin-1").decode() == "/é/"
    assert environ["QUERY_STRING"] == "x=%20"
    assert (environ["HTTP_COOKIE"], environ["HTTP_X_A"]) == ("a=1; b=2", "1,2")
    assert environ["CONTENT_TYPE"] == FORM_TYPE[1]
    assert (environ["SERVER_NAME"], environ["SERVER_PORT"], environ["REMOTE_ADDR"]) == (
        "127.0.0.1",
        "8000",
        "127.0.0.1",
    )


def test_header_with_an_underscore_can_not_pass_for_the_proxy_s() -> None:
    headers = FakeHeaders([("x_forwarded_proto", "https")])
    assert "HTTP_X_FORWARDED_PROTO" not in environ_of(FakeScope(headers), b"")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("reason", "headers", "exchange", "says"),
    [
        (LATE, sent(100), FakeExchange([b"half"], stalls=True), "did not arrive within 15 seconds. Nothing was saved."),
        (LARGE, sent(10**9), FakeExchange(), "12 MB at most."),
        (NO_LENGTH, sent(None, ("transfer-encoding", "chunked")), FakeExchange(), "Content-Length"),
    ],
)
def test_refused_body_is_answered_with_a_page_and_the_line_closed(
    reason: str, headers: FakeHeaders, exchange: FakeExchange, says: str
) -> None:
    answer = ask(FakeScope(headers), exchange)
    assert answer.status == REFUSALS[reason]
    assert says in answer.body.decode()
    assert answer.headers["connection"] == "close"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["cache-control"] == "no-store"


def test_half_a_form_of_a_broken_line_reaches_no_page() -> None:
    def never(environ: dict[str, Any], start: Any) -> list[bytes]:
        raise AssertionError("asked for a page")

    assert ask(FakeScope(sent(100)), FakeExchange([b"half"]), never).status == 0


@pytest.mark.django_db
def test_pages_may_ask_the_database_inside_the_server_s_loop(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DJANGO_ALLOW_ASYNC_UNSAFE")

    def page(environ: dict[str, Any], start: Any) -> list[bytes]:
        start("200 OK", [])
        with connection.cursor() as cursor:
            cursor.execute("SELECT 42")
            return [str(cursor.fetchone()[0]).encode()]

    assert ask(FakeScope(sent()), app=page).body == b"42"


@pytest.mark.parametrize(("size", "by_the_server"), [(SENT_AS_FILE, True), (SENT_AS_FILE - 1, False)])
def test_large_file_is_read_by_the_server_and_a_small_one_here(tmp_path: Path, size: int, by_the_server: bool) -> None:
    file = tmp_path / "large.bin"
    file.write_bytes(b"x" * size)
    opened = file.open("rb")

    def page(environ: dict[str, Any], start: Any) -> Iterable[bytes]:
        start("200 OK", [("Content-Length", str(size))])
        return environ["wsgi.file_wrapper"](opened)

    answer = ask(FakeScope(sent(), method="GET"), app=page)
    assert (answer.path, len(answer.body)) == ((str(file), 0) if by_the_server else ("", size))
    assert answer.headers["content-length"] == str(size)
    assert opened.closed


def test_file_that_is_read_from_the_middle_is_read_here(tmp_path: Path) -> None:
    (tmp_path / "large.bin").write_bytes(b"x" * SENT_AS_FILE * 2)
    opened = (tmp_path / "large.bin").open("rb")
    opened.seek(SENT_AS_FILE)

    def page(environ: dict[str, Any], start: Any) -> Iterable[bytes]:
        start("206 Partial Content", [])
        return environ["wsgi.file_wrapper"](opened)

    answer = ask(FakeScope(sent(), method="GET"), app=page)
    assert (answer.status, answer.path, len(answer.body)) == (206, "", SENT_AS_FILE)


class TestBusyDatabase:
    """A request that meets a locked database is asked again, with the same body, until it is answered otherwise."""

    def ask(self, app: Any, *scopes: FakeScope, seconds: float = 1) -> list[FakeExchange]:
        front = Front(app)
        front.busy_seconds = seconds
        exchanges = [FakeExchange([b"body"]) for _ in scopes]

        async def together() -> None:
            await asyncio.gather(*(front.__rsgi__(*pair) for pair in zip(scopes, exchanges, strict=True)))

        asyncio.run(together())
        assert front.waiting == 0
        return exchanges

    def test_request_is_asked_again_until_the_lock_is_gone(self) -> None:
        seen: list[bytes] = []

        def page(environ: dict[str, Any], start: Any) -> list[bytes]:
            seen.append(environ["wsgi.input"].read())
            if len(seen) < 4:
                environ[TRY_AGAIN] = True
                start("503 Service Unavailable", [])
                return [b""]
            start("200 OK", [])
            return [b"saved"]

        [answer] = self.ask(page, FakeScope(sent(4)))
        assert (answer.status, answer.body, seen) == (200, b"saved", [b"body"] * 4)

    def test_others_are_answered_while_it_waits(self) -> None:
        order: list[str] = []

        def page(environ: dict[str, Any], start: Any) -> list[bytes]:
            order.append(environ["PATH_INFO"])
            if environ["PATH_INFO"] == "/busy/" and order.count("/busy/") < 3:
                environ[TRY_AGAIN] = True
            start("200 OK", [])
            return [b""]

        self.ask(page, FakeScope(sent(4), path="/busy/"), FakeScope(sent(4), path="/other/"))
        assert order == ["/busy/", "/other/", "/busy/", "/busy/"]

    def test_last_try_is_answered_whatever_it_says(self) -> None:
        last: list[bool] = []

        def page(environ: dict[str, Any], start: Any) -> list[bytes]:
            last.append(environ[LAST_TRY])
            environ[TRY_AGAIN] = True
            start("503 Service Unavailable", [])
            return [b"busy"]

        [answer] = self.ask(page, FakeScope(sent(4)), seconds=0.1)
        assert (answer.status, answer.body) == (503, b"busy")
        assert last[-1]
        assert not any(last[:-1])
