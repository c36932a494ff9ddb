"""Every route with every role. The routes come from the resolver, so a new one without a line in the matrix fails."""

import functools
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.db import connection, transaction
from django.http import HttpResponseBase
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from shopsafe.school.signing_in.sessions.store import SessionStore
from tests.cast import Cast
from tests.matrix import ANONYMOUS, EVERYONE, SIGNED_IN, Door, floor, machines, nothing, quizzes, school
from tests.pages.plain_pages import each_print_made_once, refusals_without_pages

TABLES = (school.ROUTES, quizzes.ROUTES, machines.ROUTES, floor.ROUTES)
MATRIX = {name: doors for table in TABLES for name, doors in table.items()}
SIGN_IN = "/sign-in/"


def routes(resolver: URLResolver) -> Iterator[URLPattern]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            yield from routes(pattern)
        else:
            yield pattern


NAMES = [pattern.name or f"(no name) {pattern.pattern}" for pattern in routes(get_resolver())]


def doors_of(name: str) -> list[Door]:
    doors = MATRIX[name]
    return doors if isinstance(doors, list) else [doors]


def test_every_route_has_a_line_and_every_line_a_route() -> None:
    assert sorted(set(NAMES)) == sorted(MATRIX)
    assert len(MATRIX) == sum(len(table) for table in TABLES), "a route stands in two tables"


@pytest.mark.parametrize("name", sorted(MATRIX))
def test_opens_for_those_of_its_line_alone(name: str, cast: Cast) -> None:
    sign_in(cast)
    client = Client()
    address = functools.cache(
        lambda of: reverse(name, kwargs=of(cast))
    )  # made once: two doors often lead to the same place
    with each_print_made_once():
        wrong = [
            f"{door.method} as {role}: {status}, not {sorted(expected)}"
            for door in doors_of(name)
            for role in who_asks(door)
            for expected in [expected_of(door, role)]
            for status in [status_of(client, address(door.of), door, role, cast)]
            if status not in expected
        ]
    assert not wrong, f"{name}\n" + "\n".join(wrong)


@pytest.mark.parametrize("name", sorted(MATRIX))
def test_takes_no_other_method(name: str, cast: Cast) -> None:
    sign_in(cast)
    doors, client = doors_of(name), Client()
    address = reverse(name, kwargs=doors[0].of(cast))
    for method in {"get", "post", "put", "patch", "delete"} - {door.method for door in doors}:
        door = Door(method, (), nothing, nothing, frozenset(), frozenset({403, 404, 405}))
        for role in one_of_each_sort(doors):
            status = status_of(client, address, door, role, cast)
            assert status in door.shut | {"sign in"}, f"{name} takes {method} from {role}"


@pytest.mark.parametrize("role", SIGNED_IN)
def test_refusal_is_a_page(role: str, cast: Cast, client: Client) -> None:
    """The page of the refusals above, which are answered without it."""
    client.force_login(getattr(cast, role))
    response = client.get(reverse("register", args=[10**9]))
    assert response.status_code == 404
    assert "No such page" in response.text


def who_asks(door: Door) -> Iterator[str]:
    """Everyone on SQLite. Who may is no matter of the engine, so elsewhere one of each sort asks."""
    return iter(EVERYONE) if connection.vendor == "sqlite" else one_of_each_sort([door])


def expected_of(door: Door, role: str) -> frozenset[int | str]:
    if role in door.opens_for:
        return door.gets
    return frozenset({"sign in"}) if role == ANONYMOUS else door.shut


def one_of_each_sort(doors: list[Door]) -> Iterator[str]:
    """A stranger to all schools, someone who gets in, and someone who is signed in and does not."""
    inside = {role for door in doors for role in door.opens_for}
    yield ANONYMOUS
    for sort in (sorted(inside - {ANONYMOUS}), sorted(set(EVERYONE) - inside - {ANONYMOUS})):
        yield from sort[:1]


def status_of(client: Client, address: str, door: Door, role: str, cast: Cast) -> int | str:
    """What `role` is answered; "sign in" for the way to the sign-in page. Whatever the request wrote is undone."""
    undo_to = transaction.savepoint_create()
    client.cookies.clear()
    if role != ANONYMOUS:
        client.cookies[settings.SESSION_COOKIE_NAME] = session_of(role)
    data = door.sends(cast)
    writes = Writes()
    with connection.execute_wrapper(writes), refusals_without_pages():
        response: HttpResponseBase = getattr(client, door.method)(address, data)
    transaction.savepoint_rollback(undo_to)
    if role not in door.opens_for:
        assert not writes.seen, f"{address} as {role} was refused but wrote: {writes.seen}"
    to_sign_in = response.status_code == 302 and response.headers["Location"].startswith(f"{SIGN_IN}?next=")
    return "sign in" if to_sign_in else response.status_code


def sign_in(cast: Cast) -> None:
    """A session for each role, as signing in leaves it, in one go: single ones would take a quarter of the time."""
    store, at = SessionStore(), timezone.now()
    rows = [
        store.model(
            session_key=session_of(role),
            session_data=store.encode(
                {
                    SESSION_KEY: str(person.pk),
                    BACKEND_SESSION_KEY: settings.AUTHENTICATION_BACKENDS[0],
                    HASH_SESSION_KEY: person.get_session_auth_hash(),
                }
            ),
            expire_date=at + timedelta(hours=1),
            person=person,
            began_at=at,
            seen_at=at,
        )
        for role in SIGNED_IN
        for person in [getattr(cast, role)]
    ]
    store.model.objects.bulk_create(rows)


def session_of(role: str) -> str:
    return role.replace("_", "").ljust(32, "0")


class Writes:
    """Notes each statement that changes a row, sessions aside."""

    def __init__(self) -> None:
        self.seen: list[str] = []

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.lstrip().upper().startswith(("INSERT", "UPDATE", "DELETE")) and "school_session" not in sql:
            self.seen.append(sql)
        return execute(sql, params, many, context)
