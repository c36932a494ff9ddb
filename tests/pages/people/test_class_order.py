"""Wherever classes, shops and machines are listed they stand as people count: "Period 7" before "Period 10"."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from shopsafe.school.models import Person, Section, Shop
from tests.factories.machines import NOON, Floor, MachineFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
NAMES = ["Period 10", "Period 7", "Period 11"]


@pytest.fixture
def at_noon() -> object:
    with time_machine.travel(NOON + timedelta(minutes=5), tick=False):
        yield


@pytest.fixture
def sections(floor: Floor) -> dict[str, Section]:
    """Three classes of the shop beside the one of the cast; the first and the second are a colleague's."""
    cast = floor.cast
    by_name = {
        name: Section.objects.create(school=cast.school, term=cast.section.term, shop=cast.shop, name=name)
        for name in NAMES
    }
    for name in NAMES[:2]:
        by_name[name].teachers.add(cast.colleague)
    return by_name


def page(person: Person, name: str, *args: int, **query: str) -> str:
    client = Client()
    client.force_login(person)
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200
    return response.content.decode().split("<main", 1)[1]


def order(text: str) -> list[str]:
    """The names in the order in which the page says them first."""
    return sorted(NAMES, key=text.index)


@pytest.mark.usefixtures("sections")
@pytest.mark.parametrize("where", ["today", "registers", "people", "prints"])
def test_a_teacher_s_pages(floor: Floor, where: str) -> None:
    assert order(page(floor.cast.teacher, where)) == ["Period 7", "Period 10", "Period 11"]


@pytest.mark.usefixtures("sections")
@pytest.mark.parametrize("where", ["office", "school-standings"])
def test_the_office_s_pages(floor: Floor, where: str) -> None:
    before, heading, lists = page(floor.cast.office, where).partition("School setup")
    assert order(lists if heading else before) == ["Period 7", "Period 10", "Period 11"]


@pytest.mark.usefixtures("sections")
def test_the_page_of_a_machine(floor: Floor) -> None:
    assert order(page(floor.cast.teacher, "machine", floor.saw_2.pk)) == ["Period 7", "Period 10", "Period 11"]


@pytest.mark.parametrize("what", ["wall-chart", "pocket-cards", "substitute-sheet", "safety-agreement", "evidence"])
def test_the_print_room_begins_with_the_asker_s_own_class(
    floor: Floor, sections: dict[str, Section], what: str
) -> None:
    cast = floor.cast
    assert min(section.name for section in [cast.section, *sections.values()]) == cast.section.name
    for person, own in ((cast.teacher, cast.section), (cast.colleague, sections["Period 7"])):
        assert f'<option value="{own.pk}" selected>' in page(person, "prints", what=what)


def test_shops_and_their_machines(floor: Floor) -> None:
    cast = floor.cast
    for name in ("Bay 10", "Bay 9"):
        shop = Shop.objects.create(school=cast.school, name=name)
        shop.teachers.add(cast.teacher)
        MachineFactory(shop=shop, kind=floor.saw, number=int(name[4:]))
    for where in ("machines", "prints"):
        text = page(cast.teacher, where)
        assert text.index("Bay 9") < text.index("Bay 10"), where
    text = page(cast.teacher, "logbook")
    assert text.index("Band saw 9") < text.index("Band saw 10")
    for where in ("office", "class-add"):
        text = page(cast.office, where)
        assert text.index("Bay 9") < text.index("Bay 10"), where
