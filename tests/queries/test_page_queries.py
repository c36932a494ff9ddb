"""How many statements a page asks: no more for a class of thirty than for one of two, and few."""

import re
from collections import Counter

import pytest
from django.test import Client
from django.urls import reverse

from tests.counting import queries
from tests.factories.banks import bank_text, published
from tests.factories.machines import SUMMER, Floor, KindFactory, MachineFactory, asks
from tests.factories.people import EnrollmentFactory


def statements(person: object, address: str) -> list[str]:
    client = Client()
    client.force_login(person)
    client.get(address)
    with queries() as sent:
        response = client.get(address)
    assert response.status_code == 200
    return [sql for sql in sent if not sql.startswith(("SAVEPOINT", "RELEASE", "BEGIN"))]


def page_args(floor: Floor, page: str) -> list[int]:
    """What the address of a page names."""
    section, shop = floor.cast.section.pk, floor.cast.shop.pk
    if page == "bank-figures":
        return [published(floor.cast.teacher, bank_text(code="figures"), at=SUMMER).pk]
    of_class = {key: [section] for key in ("register", "class-people", "plan")}
    return {"machine": [floor.saw_3.pk], "floor": [shop], "floor-wall": [shop], **of_class}.get(page, [])


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
        ("student", "bench", 11),  # one of them says what the student runs, checks or waits for
        ("student", "quizzes", 12),
        ("teacher", "today", 11),
        ("teacher", "registers", 12),
        ("teacher", "register", 10),
        ("teacher", "people", 12),
        ("teacher", "machines", 12),
        ("office", "school-standings", 10),
        ("teacher", "class-people", 7),
        ("teacher", "floor", 6),
        ("teacher", "floor-wall", 6),
        ("teacher", "plan", 12),
        ("teacher", "reports", 3),
        ("teacher", "inspections", 11),
        ("teacher", "incidents", 6),
        ("teacher", "bank-figures", 6),
        ("teacher", "students-waiting", 3),
        ("teacher", "kinds", 4),
        ("teacher", "logbook", 9),
        ("teacher", "prints", 14),
        ("office", "office", 14),
    ],
)
def test_page_asks_few_statements_and_no_more_for_many(floor: Floor, who: str, page: str, most: int) -> None:
    cast = floor.cast
    args = page_args(floor, page)
    floor.make_cleared(cast.student)
    address = reverse(page, args=args)
    few = statements(getattr(cast, who), address)
    fill(floor)
    many = statements(getattr(cast, who), address)
    more = Counter(map(without_keys, many)) - Counter(map(without_keys, few))
    assert not more
    assert len(many) <= most
