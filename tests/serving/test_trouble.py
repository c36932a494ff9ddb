"""A locked database, a full disk, a database that is away: one clear page, and a line in the log."""

import errno
import logging
import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest
from django.db import OperationalError, ProgrammingError, connection
from django.http import HttpResponse
from django.test import Client, RequestFactory

from shopsafe.serving import views
from shopsafe.serving.environ import LAST_TRY, TRY_AGAIN, WRITES_BEFORE
from shopsafe.serving.trouble import Trouble, trouble_of, wait_in_the_front, writes_so_far
from tests.cast import Cast, make_cast
from tests.factories.people import CODE

sqlite_alone = pytest.mark.skipif(connection.vendor != "sqlite", reason="one file, one writer: SQLite alone")


def caused(message: str, sqlstate: str | None = None) -> OperationalError:
    error, cause = OperationalError(message), Exception(message)
    cause.sqlstate = sqlstate  # type: ignore[attr-defined]
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "trouble"),
    [
        (caused("database is locked"), Trouble.BUSY),
        (caused("canceling statement due to lock timeout", "55P03"), Trouble.BUSY),
        (caused("database or disk is full"), Trouble.FULL),
        (caused("could not extend file", "53100"), Trouble.FULL),
        (OSError(errno.ENOSPC, "No space left on device"), Trouble.FULL),
        (OSError(errno.EDQUOT, "Disk quota exceeded"), Trouble.FULL),
        (OSError(errno.EACCES, "Permission denied"), None),
        (caused("no such table: school_person", "42P01"), None),
        (ProgrammingError("syntax error"), None),
        (ValueError("database is locked"), None),
        (None, None),
    ],
)
def test_kinds_of_trouble_are_distinguished(error: BaseException | None, trouble: Trouble | None) -> None:
    assert trouble_of(error) is trouble


@pytest.fixture
def client_of_a_server() -> Client:
    return Client(raise_request_exception=False)


@pytest.fixture
def impatient(transactional_db: None) -> Iterator[Cast]:
    """A cast, on a connection that waits for no other writer."""
    cast = make_cast()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout = 20")
    yield cast
    connection.close()


def sign_in(client: Client, cast: Cast) -> HttpResponse:
    client.cookies.clear()
    return client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": CODE})


@sqlite_alone
def test_locked_database_is_reported_on_one_page_and_in_the_log(
    impatient: Cast, client_of_a_server: Client, caplog: pytest.LogCaptureFixture
) -> None:
    with closing(sqlite3.connect(connection.settings_dict["NAME"])) as other:
        other.execute("BEGIN IMMEDIATE")
        with caplog.at_level(logging.ERROR):
            answer = sign_in(client_of_a_server, impatient)
        other.rollback()
    assert answer.status_code == 503
    text = answer.content.decode()
    assert "The database is busy" in text
    assert "If you sent something, look first whether it was saved." in text
    assert "do not use any machine" in text
    assert answer.headers["Retry-After"] == "60"
    assert "database is locked" in caplog.text
    assert sign_in(client_of_a_server, impatient).status_code == 302


@sqlite_alone
def test_full_disk_is_reported_on_one_page_and_in_the_log(
    impatient: Cast, client_of_a_server: Client, caplog: pytest.LogCaptureFixture
) -> None:
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")  # or the free pages of the file would be used up first
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
    answers = (sign_in(client_of_a_server, impatient) for _ in range(200))  # each writes a little
    answer = next(answer for answer in answers if answer.status_code != 302)
    assert answer.status_code == 503
    assert "The disk of the server is full" in answer.content.decode()
    assert "database or disk is full" in caplog.text
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA max_page_count = 1000000")


def test_fault_of_the_program_is_another_page(client_of_a_server: Client) -> None:
    try:
        raise ZeroDivisionError
    except ZeroDivisionError:
        answer = views.server_error(RequestFactory().get("/"))
    assert answer.status_code == 500


class TestTriedAgain:
    def asked(self, **meta: object) -> tuple[int, bool]:
        request = RequestFactory().post("/")
        request.META |= meta
        try:
            raise caused("database is locked")
        except OperationalError:
            answer = views.server_error(request)
        return len(answer.content), TRY_AGAIN in request.META

    @sqlite_alone
    def test_request_that_wrote_nothing_yet_may_be_tried_again(self, db: None) -> None:
        assert self.asked(**{LAST_TRY: False, WRITES_BEFORE: writes_so_far()}) == (0, True)

    @sqlite_alone
    def test_request_that_has_written_may_not(self, db: None) -> None:
        before = writes_so_far()
        make_cast()
        length, again = self.asked(**{LAST_TRY: False, WRITES_BEFORE: before})
        assert (length > 0, again) == (True, False)

    def test_last_try_is_answered(self, db: None) -> None:
        length, again = self.asked(**{LAST_TRY: True, WRITES_BEFORE: writes_so_far()})
        assert (length > 0, again) == (True, False)

    def test_request_is_not_retried_without_a_front(self, db: None) -> None:
        length, again = self.asked(**{WRITES_BEFORE: writes_so_far()})
        assert (length > 0, again) == (True, False)


def test_worker_s_statements_wait_for_no_lock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(connection.settings_dict, "OPTIONS", dict(connection.settings_dict["OPTIONS"]))
    wait_in_the_front()
    options = connection.settings_dict["OPTIONS"]
    assert options["timeout"] <= 0.1 if connection.vendor == "sqlite" else "lock_timeout=10s" in options["options"]
