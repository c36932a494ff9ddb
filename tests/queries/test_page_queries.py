"""How many statements a page asks: no more for a class of thirty than for one of two, and few."""

import re
from collections import Counter

import pytest
from django.test import Client
from django.urls import reverse

from tests.counting import queries
from tests.factories.machines import Floor, KindFactory, MachineFactory, asks
from tests.factories.people import EnrollmentFactory


def statements(person: object, address: str) -> list[str]:
    client = Client()
    client.force_login(person)
    client.get(address)
    with queries() as sent:
        response = client.get(address)
    assert response.status_code == 200
    return [sql for sql in sent if not sql.startswith(("SAVEPOINT", "RELEASE", "BEGIN"))]


def without_keys(sql: str) -> str:
    """The beginning of a statement, which is the same for any number of keys."""
    return re.sub(r"IN \([\d,]+\)", "IN (keys)", sql)[:200]


def fill(floor: Floor) -> None:
    cast = floor.cast
    for number in range(6):
        kind = KindFactory(school=cast.school)
        asks(kind, floor.general, kind.bank, floor.saw)
        MachineFactory(shop=cast.shop, kind=kind, number=number + 10)
    for enrollment in EnrollmentFactory.create_batch(20, section=cast.section):
        floor.make_cleared(enrollment.student)


@pytest.mark.parametrize(
    ("who", "page", "most"),
    [
        ("teacher", "machine", 12),
        ("student", "machine", 10),
        ("student", "bench", 10),
        ("student", "quizzes", 12),
        ("teacher", "today", 11),
        ("teacher", "registers", 12),
        ("teacher", "register", 10),
        ("teacher", "people", 12),
        ("teacher", "machines", 12),
        ("office", "school-standings", 10),
    ],
)
def test_page_asks_few_statements_and_no_more_for_many(floor: Floor, who: str, page: str, most: int) -> None:
    cast = floor.cast
    args = {"machine": [floor.saw_3.pk], "register": [cast.section.pk]}.get(page, [])
    floor.make_cleared(cast.student)
    address = reverse(page, args=args)
    few = statements(getattr(cast, who), address)
    fill(floor)
    many = statements(getattr(cast, who), address)
    more = Counter(map(without_keys, many)) - Counter(map(without_keys, few))
    assert not more
    assert len(many) <= most
