"""A cookie that was copied before a sign-out opens nothing after it, in whichever of the two workers it arrives."""

import asyncio
from collections.abc import Callable

import pytest

from tests.browser.server import Server
from tests.browser.walking import DEMO_CODE, LOTTE, ODILE
from tests.faults.asking import Client
from tests.faults.raw import ask_once, request

pytestmark = pytest.mark.served

STUDENT = "Inga Vale"
REPLAYS = 30  # each on a connection of its own: both workers are asked, many times


def answered(server: Server, cookie: str, path: str) -> int:
    """How many of the replays opened this page."""

    async def replay() -> int:
        page = request("GET", path, cookie=cookie)
        answers = await asyncio.gather(*(ask_once(server.port, page) for _ in range(REPLAYS)))
        return sum(answer.status == 200 for answer in answers)

    return asyncio.run(replay())


def begun(server: Server, client: Client, cookie: str) -> int:
    """How many attempts a replay begins, of as many as there are replays."""

    async def replay() -> None:
        form = {"csrfmiddlewaretoken": client.token}
        banks = [bank for (bank,) in server.rows("SELECT DISTINCT bank_id FROM quizzes_edition")] * REPLAYS
        asked = [request("POST", f"/quizzes/{bank}/start/", cookie=cookie, form=form) for bank in banks[:REPLAYS]]
        await asyncio.gather(*(ask_once(server.port, data) for data in asked))

    [(before,)] = server.rows("SELECT count(*) FROM quizzes_attempt")
    asyncio.run(replay())
    [(after,)] = server.rows("SELECT count(*) FROM quizzes_attempt")
    return int(str(after)) - int(str(before))


def signed_in(server: Server, name: str, code: str) -> Client:
    client = Client(server.url)
    client.sign_in(name, code)
    return client


def test_cookie_opens_nothing_after_sign_out(running: Server) -> None:
    client = signed_in(running, STUDENT, DEMO_CODE)
    cookie = client.cookie
    assert answered(running, cookie, "/rules/") == REPLAYS
    assert client.post("/sign-out/", {}) == 302
    assert answered(running, cookie, "/rules/") == 0
    assert begun(running, client, cookie) == 0


def new_password(server: Server, office: Client, person: object) -> None:
    assert office.post(f"/office/staff/{person}/password/", {"password": ["a short plank of oak"]}) == 302


def access_ended(server: Server, office: Client, person: object) -> None:
    assert office.post(f"/office/staff/{person}/end/", {}) == 302


def role_withdrawn(server: Server, office: Client, person: object) -> None:
    server.write("UPDATE school_person SET role = 'substitute' WHERE id = ?", person)


@pytest.mark.parametrize("end", [new_password, access_ended, role_withdrawn])
def test_teacher_s_cookie_opens_nothing_at_once(running: Server, end: Callable[[Server, Client, object], None]) -> None:
    teacher, office = signed_in(running, *ODILE), signed_in(running, *LOTTE)
    [(person,)] = running.rows("SELECT id FROM school_person WHERE name = ?", ODILE[0])
    assert answered(running, teacher.cookie, "/people/") == REPLAYS
    end(running, office, person)
    assert answered(running, teacher.cookie, "/people/") == 0
