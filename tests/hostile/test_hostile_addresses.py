"""Addresses with numbers that no database holds and days that no calendar has: a page or a 404, never a fault."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from tests.cast import Cast
from tests.pages.plain_pages import each_print_made_once, refusals_without_pages

HUGE = (str(2**63), "9" * 400)
# Every name that a page reads from its query, each with a value of its own turn.
NAMES = ("at", "seen", "show", "part", "who", "list", "shop", "class", "bank", "student", "section", "machine", "day")
NAMES += ("what", "paper", "page", "before", "after", "from", "until", "kind", "rule", "key", "since", "entry", "name")
VALUES = (*HUGE, "10000-01-01", "9999-12-31T23:59", "0001-01-01T00:00", "99999-01-01T00:00", "-1", "1e400", "\x00", "٣")
OTHER_PARTS = {"uuid": "0b7e1bc8-4a9c-4f0f-9a53-5d6f9a3a7f10", "str": "x", "slug": "x", "path": "x"}
PART = re.compile(r"<(?:(\w+):)?(\w+)>")


def patterns(found: list, before: str = "") -> Iterator[str]:
    for each in found:
        if isinstance(each, URLResolver):
            yield from patterns(each.url_patterns, before + str(each.pattern))
        elif isinstance(each, URLPattern):
            yield before + str(each.pattern)


ADDRESSES = sorted(set(patterns(get_resolver().url_patterns)))
NUMBERED = [address for address in ADDRESSES if "<int:" in address]


@pytest.fixture
def teacher(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.teacher)
    return client


@pytest.fixture
def office(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.office)
    return client


@pytest.fixture
def student(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.student)
    return client


@pytest.mark.parametrize("number", HUGE)
def test_number_that_no_database_holds_is_a_404(number: str, teacher: Client, student: Client) -> None:
    addresses = ["/" + PART.sub(lambda part: OTHER_PARTS.get(part[1] or "str", number), each) for each in NUMBERED]
    assert "No such page" in teacher.get(addresses[0]).text
    with refusals_without_pages():
        for address in addresses:
            for client in (teacher, student):
                for answer in (client.get(address), client.post(address)):
                    assert answer.status_code == 404, f"{address}: {answer.status_code}"


def test_unreadable_query_gets_a_page_and_not_a_fault(teacher: Client, office: Client, cast: Cast) -> None:
    rows = {"section": cast.section, "shop": cast.shop, "student": cast.student, "term": cast.section.term}
    parts = {name: str(row.pk) for name, row in rows.items()}
    opened, reading = 0, 0
    for address in ADDRESSES:
        place = "/" + PART.sub(lambda part: parts.get(part[2]) or OTHER_PARTS.get(part[1], "1"), address)
        opens_for = next((client for client in (teacher, office) if client.get(place).status_code == 200), None)
        if opens_for is None:
            continue
        opened += 1
        reading += query_is_no_fault(opens_for, place)
    assert opened > reading > 20


def query_is_no_fault(client: Client, place: str) -> bool:
    """Ask with every value under every name; return whether the page reads its query at all."""
    with each_print_made_once():
        for turn in range(len(VALUES)):
            query = {name: VALUES[(turn + number) % len(VALUES)] for number, name in enumerate(NAMES)}
            answer = client.get(place, query)
            assert answer.status_code < 500, f"{place} {query}"
            if not reads_query(answer):
                return False  # the page is the same with any other
    return True


def reads_query(answer: Any) -> bool:
    """Whether anything asked for request.GET: Django reads the query when it is first asked for."""
    return "GET" in vars(answer.wsgi_request)
