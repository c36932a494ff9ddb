"""The page that brings a class list in, step by step, as a browser without scripts sends it."""

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client

from shopsafe.school.models import Enrollment, Person, RosterImport
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory

FILES = Path(__file__).resolve().parents[3] / "fixtures" / "rosters"
THREE = 'Name,ID\n"Lund, Uma",000417\n,000418\n"Moor, Ilse",000419\n'


class Fields(HTMLParser):
    """What a browser would send of a form that no one has touched."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, Any] = {}
        self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = dict(attrs)
        if tag == "select":
            self.select = attributes["name"] or ""
        if tag == "option" and "selected" in attributes:
            self.sent[self.select] = attributes["value"]
        if (
            tag == "input"
            and attributes.get("name")
            and (attributes.get("type") != "checkbox" or "checked" in attributes)
        ):
            self.sent[attributes["name"] or ""] = attributes.get("value") or ""


def fields(page: HttpResponse) -> dict[str, Any]:
    parser = Fields()
    parser.feed(page.content.decode())
    return parser.sent


def heading(page: HttpResponse) -> str:
    heading_match = re.search(r"<h1>(.*?)</h1>", page.content.decode(), re.DOTALL)
    assert heading_match
    return unescape(heading_match[1])


@pytest.fixture
def url(cast: Cast, client: Client) -> str:
    client.force_login(cast.teacher)
    return f"/people/import/{cast.section.pk}/"


def upload(name: str) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, (FILES / name).read_bytes())


def test_list_without_numbers_says_so_in_the_open(client: Client, url: str) -> None:
    page_text = client.post(url, {"step": "look", "text": "Name\nUma Lund\nRo Berg"}).content.decode()
    assert "This list has no student numbers." in page_text.partition("<details")[0]
    with_numbers = client.post(url, {"step": "look", "text": THREE}).content.decode()
    assert "This list has no student numbers." not in with_numbers


@pytest.mark.parametrize(("called", "warned"), [("Period 6", True), ("Teak", False), ("9 teak, wood", False)])
def test_list_of_another_class_says_so_in_the_open(
    client: Client, cast: Cast, url: str, called: str, warned: bool
) -> None:
    text = f"Name\tID\tClass\nUma Lund\t801\t{called}\nRo Berg\t802\t{called}"
    cast.section.__class__.objects.filter(pk=cast.section.pk).update(name="9 Teak")
    page_text = client.post(url, {"step": "look", "text": text}).content.decode().partition("<details")[0]
    assert ("This may be the list of another class." in page_text) is warned


def test_rows_to_fix_follow_when_the_list_is_read_another_way(client: Client, url: str) -> None:
    """What stood in the fields under the old reading is no correction of the new one."""
    sent = fields(client.post(url, {"step": "look", "text": "Uma\tLund\t0417\nRo\tBerg\t0418\nIlse\tMoor\t0419"}))
    swapped = sent | {"column-1": "family", "column-2": "given", "column-3": "id", "step": "look"}
    wrong_way = client.post(url, swapped)
    again = fields(wrong_way) | {"column-1": "given", "column-2": "family", "step": "look"}
    right_way = client.post(url, again).content.decode()
    assert "Uma Lund" in right_way
    assert "Lund Uma" not in right_way
    # A row that lacks a name stays to be fixed, with its own fields and not those of the first reading.
    first = fields(client.post(url, {"step": "look", "text": "First,Last,No\n,Lund,0417\nRo,Berg,0418"}))
    other = fields(client.post(url, first | {"column-1": "note", "column-2": "name", "step": "look"}))
    assert "Add the 2 who" in client.post(url, other | {"step": "look"}).content.decode()


@pytest.mark.parametrize(
    ("name", "sentence", "button"),
    [
        (
            "period3-messy.csv",
            "33 rows: 30 ready, 0 already here, 2 to fix, 1 twice in this list",
            "Add the 30 who are ready",
        ),
        ("period5-semicolon-cp1252.csv", "24 rows: 24 ready, 0 already here, 0 to fix", "Add the 24 who are ready"),
        ("period6-pasted.txt", "18 rows: 18 ready, 0 already here, 0 to fix", "Add the 18 who are ready"),
        ("period1-excel.xlsx", "26 rows: 26 ready, 0 already here, 0 to fix", "Add the 26 who are ready"),
    ],
)
def test_every_kept_list_is_looked_at_and_then_applied(
    client: Client, cast: Cast, url: str, name: str, sentence: str, button: str
) -> None:
    before = Person.objects.count()
    page = client.post(url, {"file": upload(name), "step": "look"})
    assert heading(page) == sentence
    assert button in page.content.decode()
    assert Person.objects.count() == before
    done = client.post(url, fields(page) | {"step": "apply"}, follow=True)
    assert f"{button.split()[2]} added." in done.content.decode()
    assert Person.objects.count() == before + int(button.split()[2])


def test_a_row_is_fixed_in_place_another_left_out(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": THREE, "step": "look"})
    assert heading(page) == "3 rows: 2 ready, 0 already here, 1 to fix"
    again = client.post(url, fields(page) | {"given-3": "Ro", "family-3": "Berg", "skip-4": "on", "step": "look"})
    assert heading(again) == "3 rows: 2 ready, 0 already here, 0 to fix, 1 skipped"
    client.post(url, fields(again) | {"step": "apply"})
    assert set(Person.objects.filter(local_id__startswith="0004").values_list("name", "local_id")) == {
        ("Uma Lund", "000417"),
        ("Ro Berg", "000418"),
    }


def test_corrections_count_without_a_second_look(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": THREE, "step": "look"})
    client.post(url, fields(page) | {"given-3": "Ro", "family-3": "Berg", "step": "apply"})
    assert Person.objects.get(local_id="000418").given_name == "Ro"


def test_sending_twice_is_one_import(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": "Name\nUma Lund\n", "step": "look"})
    sent = fields(page) | {"accept-2": "on", "step": "apply"}
    answers = [client.post(url, sent, follow=True).content.decode() for _ in range(2)]
    assert all("1 added. 0 already here, 0 left out." in answer for answer in answers)
    assert (RosterImport.objects.count(), Person.objects.filter(name="Uma Lund").count()) == (1, 1)


def test_unclear_columns_are_asked_about_and_answered(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": "Uma\tLund\t0417\nRo\tBerg\t0418\nIlse\tMoor\t0419", "step": "look"})
    text = page.content.decode()
    assert "Which is the first name, which the last name?" in text
    assert "Add the" not in text
    answer = fields(page) | {"column-1": "given", "column-2": "family", "step": "look"}
    assert heading(client.post(url, answer)) == "3 rows: 3 ready, 0 already here, 0 to fix"


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({}, "Choose a file, or paste the list."),
        ({"text": "  \n"}, "Choose a file, or paste the list."),
        ({"text": "1\n2"}, "Pasted text: no column in it holds names of students."),
        ({"content": "no base64!", "name": "x.csv"}, "The form came back broken."),
        ({"content": "", "name": "x.csv"}, "x.csv: it is empty."),
    ],
)
def test_invalid_roster_shows_an_error_and_changes_nothing(
    client: Client, cast: Cast, url: str, sent: dict[str, str], sentence: str
) -> None:
    before = Person.objects.count()
    page = client.post(url, sent | {"step": "apply"})
    assert page.status_code == 422
    assert sentence in unescape(page.content.decode())
    assert "Error: " in page.content.decode().split("</title>")[0]
    assert Person.objects.count() == before


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7", b"\x89PNG", b"Name,ID\nUma\0,1", b"Name,ID\n" + b"x" * 2_000_001])
def test_an_odd_file_is_refused_by_its_name(client: Client, cast: Cast, url: str, data: bytes) -> None:
    page = client.post(url, {"file": SimpleUploadedFile("C:\\lists\\odd.csv", data), "step": "look"})
    assert page.status_code == 422
    assert "odd.csv: " in page.content.decode()


def test_names_that_are_markup_stay_text(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": 'Name,ID\n"<script>alert(1)</script>, Uma",000417\n', "step": "look"})
    text = page.content.decode()
    assert "<script>alert" not in text
    assert "&lt;script&gt;alert" in text


def test_a_form_of_another_class_is_not_applied_here(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": THREE, "step": "look"})
    elsewhere = client.post(f"/people/import/{cast.stranger_section.pk}/", fields(page) | {"step": "apply"})
    assert elsewhere.status_code == 404
    assert not Enrollment.objects.filter(student__local_id="000417").exists()


def test_unprintable_name_shows_a_warning_before_it_is_saved(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": "Last name,First name\n𒀀𒁀,Ana\nNguyễn,Hồng\n", "step": "look"})
    warning = "No font here can draw “𒀀”, “𒁀”: this name can’t be printed until one is installed."
    assert page.content.decode().replace("&#x27;", "’").count(warning) == 1


def line_of(page: HttpResponse, row: int) -> str:
    """What is on the page of one row of the list."""
    return unescape(page.content.decode()).partition(f"<span>Row</span> {row}</p>")[2].partition("</li>")[0]


def test_a_name_fixed_in_two_fields_is_sorted_and_shortened(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": f"Name,ID\nPavel {'Wolfeschlegel' * 7},000417\n", "step": "look"})
    assert 'name="given-2"' in line_of(page, 2)
    again = client.post(url, fields(page) | {"given-2": "Pavel", "family-2": "Wolfeschlegel", "step": "look"})
    assert 'value="Wolfeschlegel"' in line_of(again, 2)
    client.post(url, fields(again) | {"step": "apply"})
    pavel = Person.objects.get(local_id="000417")
    assert (pavel.short_name, pavel.sort_key) == ("Pavel W.", pavel.name.lower())


def test_last_and_first_in_one_field_are_still_understood(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": THREE, "step": "look"})
    client.post(url, fields(page) | {"given-3": "Berg, Ro", "step": "apply"})
    assert Person.objects.get(local_id="000418").family_name == "Berg"


def test_a_name_without_a_family_name_says_so_and_can_be_fixed(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": 'Name,ID\n"Lund, Uma",000417\nElif,000418\n', "step": "look"})
    assert heading(page) == "2 rows: 2 ready, 0 already here, 0 to fix"
    assert "No last name was found." in line_of(page, 3)
    assert "family-2" not in line_of(page, 2)
    client.post(url, fields(page) | {"family-3": "Kaya", "step": "apply"})
    assert Person.objects.get(local_id="000418").name == "Elif Kaya"


def test_a_number_under_another_name_leads_to_that_name(client: Client, cast: Cast, url: str) -> None:
    known = EnrollmentFactory(section=cast.section, student__name="Elif", student__local_id="S1004").student
    page = client.post(url, {"text": 'Name,ID\n"Kaya, Elif",S1004\n', "step": "look"})
    line = line_of(page, 2)
    assert "The number S1004 belongs to Elif." in line
    assert f"/people/{cast.section.pk}/{known.pk}/name/" in line
    assert "Take it as it stands" not in line
    client.post(f"/people/{cast.section.pk}/{known.pk}/name/", {"given": "Elif", "family": "Kaya"})
    assert heading(client.post(url, fields(page) | {"step": "look"})) == "1 row: 0 ready, 1 already here, 0 to fix"


@pytest.mark.parametrize(("row", "offered"), [("x" * 90 + ",000417", False), ("Uma Lund 3,000417", True)])
def test_accepting_a_row_is_offered_only_where_it_helps(
    client: Client, cast: Cast, url: str, row: str, offered: bool
) -> None:
    page = client.post(url, {"text": f"Name,ID\n{row}\nRo Berg,000418\n", "step": "look"})
    assert ("Take it as it stands" in line_of(page, 2)) is offered
    again = client.post(url, fields(page) | {"accept-2": "on", "step": "look"})
    assert (heading(again) == "2 rows: 2 ready, 0 already here, 0 to fix") is offered
    assert ("Take it as it stands" in line_of(again, 2)) is offered


def test_repeated_row_is_counted_as_repeated_and_not_as_enrolled(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": "Name,ID\nUma Lund,000417\nUma Lund,000417\n", "step": "look"})
    assert heading(page) == "2 rows: 1 ready, 0 already here, 0 to fix, 1 twice in this list"
    assert '<h2 id="list-twice">1 twice in this list</h2>' in page.content.decode()
    sent = fields(page) | {"step": "apply"}
    answers = [client.post(url, sent, follow=True).content.decode() for _ in range(2)]
    assert all("1 added. 0 already here, 1 twice in this list, 0 left out." in answer for answer in answers)


def test_rows_still_to_fix_are_not_said_to_be_left_out(client: Client, cast: Cast, url: str) -> None:
    page = client.post(url, {"text": THREE, "step": "look"})
    done = client.post(url, fields(page) | {"skip-2": "on", "step": "apply"}, follow=True)
    assert "1 added. 0 already here, 1 still to fix and not added, 1 left out." in done.content.decode()
