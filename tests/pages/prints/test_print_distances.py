"""The Print page says from how far a sheet reads before it is made, and the sheet then says the same."""

import html
import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from machines.prints.room.distances import names_read
from machines.prints.room.offers import OFFERS
from shopsafe.paper.rules.sheets import LETTER, TABLOID
from shopsafe.paper.setting import LayoutResult
from shopsafe.school.models import Person
from tests.factories.machines import NOON, Floor, signed
from tests.factories.people import EnrollmentFactory
from tests.factories.substitutes import with_number
from tests.paper import looking

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def at_noon() -> object:
    with time_machine.travel(NOON + timedelta(minutes=5), tick=False):
        yield


@pytest.fixture
def client(floor: Floor) -> Client:
    client = Client()
    client.force_login(floor.cast.teacher)
    return client


def reads(client: Client, **query: Any) -> str:
    text = client.get(reverse("prints"), query).content.decode()
    reads_match = re.search(r'<p id="reads" role="status">(.*?)</p>', text)
    assert reads_match
    return html.unescape(reads_match[1])


def filled(floor: Floor, names: int) -> None:
    """So many more students who may use band saw 2."""
    for row in EnrollmentFactory.create_batch(names, section=floor.cast.section):
        floor.make_cleared(row.student)


ONE_EACH = ("pocket-cards", "safety-agreement")  # of each student, whatever else the class is


DISTANT = [code for code, offer in OFFERS.items() if offer.reads]  # what is filled in at a machine names no distance


@pytest.mark.parametrize("what", DISTANT)
def test_the_form_and_the_sheet_say_the_same(client: Client, floor: Floor, what: str) -> None:
    with_number(floor.cast)
    filled(floor, 1 if what in ONE_EACH else 5)
    sent = {"paper": "tabloid" if what == "wall-chart" else "letter", "section": floor.cast.section.pk, "metres": "4"}
    sent |= {"machine": floor.saw_2.pk, "rule": f"{floor.saw_bank.pk}:r1", "which": "all"}
    reads_text = reads(client, what=what, **sent)
    pdf = client.post(reverse("print-make", args=[floor.cast.shop.pk, what]), sent).content
    printed = re.search(r"Reads from ([0-9.]+) ft", " ".join(looking.text(pdf).split()))
    assert printed
    assert f" {printed[1]} ft on {sent['paper']}" in reads_text


def test_said_as_soon_as_the_page_opens_and_nothing_is_drawn(
    client: Client, floor: Floor, monkeypatch: pytest.MonkeyPatch
) -> None:
    floor.make_cleared(floor.cast.student)

    def drawn(*args: Any, **more: Any) -> None:
        raise AssertionError("a sheet was drawn")

    with_number(floor.cast)
    monkeypatch.setattr("shopsafe.paper.press.render.to_pdf", drawn)
    for what in DISTANT:
        assert reads(client, what=what), what


def test_a_card_tells_the_next_larger_paper_as_well(client: Client, floor: Floor) -> None:
    filled(floor, 5)
    query = {"machine": floor.saw_2.pk, "metres": "3"}
    reads_text = reads(client, paper="letter", **query)
    pattern = r"Names read from [0-9.]+ ft on letter, [0-9.]+ ft on tabloid; the distance asked for: 10 ft\."
    assert re.fullmatch(pattern, reads_text), reads_text
    assert " ft on A4, " in reads(client, paper="a4", **query)
    assert "," not in reads(client, paper="tabloid", **query)


def test_it_says_so_where_it_is_not_as_far_as_asked(client: Client, floor: Floor) -> None:
    filled(floor, 12)
    Person.objects.filter(role="student").update(given_name="Bartholomew-Maximiliano-Wilhelmina")
    reads_text = reads(client, paper="letter", machine=floor.saw_2.pk, metres="6")
    assert "; the distance asked for: 19.5 ft. No paper here is large enough for that distance" in reads_text


@pytest.mark.parametrize(
    ("letter", "tabloid", "expected"),
    [
        (3.0, 3.9, "10 ft."),
        (2.9, 3.0, "Letter is too small for that: choose tabloid."),
        (2.9, 2.99, "No paper here is large enough for that distance: the sheet will say the shorter one."),
    ],
)
def test_form_names_the_paper_that_reads_from_the_asked_distance(letter: float, tabloid: float, expected: str) -> None:
    plans = [LayoutResult(1, letter, LETTER), LayoutResult(1, tabloid, TABLOID)]
    assert names_read(plans, 3).endswith(expected)


def test_chart_form_says_where_no_paper_is_large_enough(client: Client, floor: Floor) -> None:
    chart = {"what": "wall-chart", "section": floor.cast.section.pk, "paper": "letter"}
    assert reads(client, metres="3", **chart).endswith("the distance asked for: 10 ft.")
    assert "No paper here is large enough" in reads(client, metres="6", **chart)


def test_all_machines_show_the_least_reading_distance(client: Client, floor: Floor) -> None:
    filled(floor, 16)
    signed(floor.cast.section.enrollments.last().student, floor.saw_3, floor.cast.teacher)
    saw_reads = reads(client, paper="letter", machine=floor.saw_2.pk, metres="3").split(" on letter")[0]
    assert reads(client, paper="letter", machine="", metres="3").split(" on letter")[0] == saw_reads
    assert reads(client, paper="letter", machine=floor.saw_3.pk, metres="3").split(" on letter")[0] != saw_reads


def test_a_card_of_no_one_says_so(client: Client, floor: Floor) -> None:
    assert reads(client, paper="letter", machine=floor.saw_2.pk, metres="3").startswith("No one's name is on it")


@pytest.mark.usefixtures("floor")
def test_the_scripts_bring_it_with_the_preview(client: Client) -> None:
    text = client.get(reverse("prints")).content.decode()
    assert 'hx-select-oob="#reads:innerHTML"' in text
