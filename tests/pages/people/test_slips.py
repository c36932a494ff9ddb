"""The printed slips: shown once, to be read by a person and by a phone."""

import re
from itertools import chain
from typing import Any

import pytest
from django.test import Client

from shopsafe.logbook.models import Entry
from shopsafe.paper.press.render import PrintFailed
from shopsafe.school.models import Person
from shopsafe.school.signing_in.rules.slips import ALPHABET
from tests.cast import Cast
from tests.factories.people import CODE, EnrollmentFactory, PersonFactory
from tests.paper import looking


@pytest.fixture
def uma(cast: Cast, client: Client) -> Person:
    client.force_login(cast.teacher)
    person = PersonFactory(school=cast.school, given_name="Uma", family_name="Márquez", code=None)
    return EnrollmentFactory(section=cast.section, student=person).student


def printed(client: Client, cast: Cast, **sent: object) -> tuple[str, list[list[str]]]:
    """The words of the PDF, and what the squares of each sheet say."""
    page = client.post(f"/people/{cast.section.pk}/slips/", sent)
    assert page.headers["Content-Type"] == "application/pdf"
    assert page.headers["Cache-Control"] == "no-store"
    assert page.headers["Content-Disposition"] == f'inline; filename="Sign-in slips {cast.section.name}.pdf"'
    pdf = page.content
    return looking.text(pdf), [looking.codes(pdf, sheet) for sheet in range(len(looking.page_sizes(pdf)))]


def test_first_slips_are_for_those_without_one(client: Client, cast: Cast, uma: Person) -> None:
    words, (squares,) = printed(client, cast, which="first")
    assert "Uma Márquez" in words
    assert cast.student.name not in words
    assert [square.split("?")[1] for square in squares] == ["name=Uma+Marquez"]


def test_code_and_square_of_a_slip_sign_in(client: Client, cast: Cast, uma: Person) -> None:
    words, ((square,),) = printed(client, cast, student=[uma.pk])
    code = re.search(rf"[{ALPHABET}]{{4}}-[{ALPHABET}]{{4}}", words)
    assert code
    assert code[0].replace("-", "") not in square
    reader = Client()
    page = reader.get("/sign-in/?" + square.split("?")[1])
    assert 'value="Uma Marquez"' in page.content.decode()
    reader.post("/sign-in/", {"name": "Uma Marquez", "code": code[0].lower()})
    assert reader.session["_auth_user_id"] == str(uma.pk)


def test_a_new_slip_ends_the_session_of_the_old_one(client: Client, cast: Cast, uma: Person) -> None:
    reader = Client()
    reader.post("/sign-in/", {"name": cast.student.sign_in_name, "code": CODE})
    assert reader.get("/look/").wsgi_request.user == cast.student
    printed(client, cast, student=[cast.student.pk])
    assert not reader.get("/look/").wsgi_request.user.is_authenticated


def test_a_class_of_thirty_has_a_square_each_on_four_sheets(client: Client, cast: Cast, uma: Person) -> None:
    EnrollmentFactory.create_batch(27, section=cast.section)
    everybody = list(Person.objects.filter(enrollments__section=cast.section).values_list("pk", flat=True))
    _, sheets = printed(client, cast, student=everybody)
    assert len(everybody) == len(set(chain.from_iterable(sheets))) == 30
    assert [len(squares) for squares in sheets] == [8, 8, 8, 6]


def test_a_sheet_that_fails_leaves_the_old_codes(
    client: Client, cast: Cast, uma: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*args: Any, **more: Any) -> bytes:
        raise PrintFailed("print.too-slow", "This print took longer than 60 seconds and was stopped.")

    monkeypatch.setattr("shopsafe.paper.press.render.to_pdf", fails)
    entries = Entry.objects.count()
    page = client.post(f"/people/{cast.section.pk}/slips/", {"student": [cast.student.pk, uma.pk]})
    assert page.status_code == 503
    assert "Nothing was changed." in page.content.decode()
    uma.refresh_from_db()
    assert not uma.has_usable_password()
    assert Entry.objects.count() == entries
    reader = Client()
    reader.post("/sign-in/", {"name": cast.student.sign_in_name, "code": CODE})
    assert reader.session["_auth_user_id"] == str(cast.student.pk)


def test_slips_without_a_checked_student_show_an_error(client: Client, cast: Cast, uma: Person) -> None:
    page = client.post(f"/people/{cast.section.pk}/slips/", {"student": [cast.stranger_student.pk]})
    assert page.status_code == 422
    assert "<p>Select the students who need a slip.</p>" in page.content.decode()
    assert f"<h1>{cast.section.name}</h1>" in page.content.decode()


def test_repeated_slip_request_shows_an_error_on_its_page(client: Client, cast: Cast, uma: Person) -> None:
    path = f"/people/{cast.section.pk}/slips/"
    assert client.post(path, {"which": "first"}).headers["Content-Type"] == "application/pdf"
    before = Person.objects.get(pk=uma.pk).password
    page = client.post(path, {"which": "first"})
    assert page.status_code == 422
    assert "Everyone in this class has a slip by now." in page.content.decode()
    assert f"<h1>{cast.section.name}</h1>" in page.content.decode()
    assert Person.objects.get(pk=uma.pk).password == before


def test_unprintable_name_shows_an_error_and_keeps_every_code(client: Client, cast: Cast, uma: Person) -> None:
    uma.name = "Ana 𒀀"
    uma.save(update_fields=["name"])
    before = uma.password
    response = client.post(f"/people/{cast.section.pk}/slips/", {"student": uma.pk})
    assert response.status_code == 422
    assert "No font here can draw “𒀀” in “Ana 𒀀”" in response.content.decode()
    uma.refresh_from_db()
    assert uma.password == before


@pytest.mark.parametrize("site", ["http://127.0.0.1:8000", "http://localhost:8000", "http://[::1]:8000"])
def test_page_warns_when_slips_name_this_computer_only(client: Client, cast: Cast, settings: Any, site: str) -> None:
    settings.SITE_URL = site
    client.force_login(cast.teacher)
    assert (
        f"These slips name this computer alone ({site[7:]})"
        in client.get(f"/people/{cast.section.pk}/").content.decode()
    )


@pytest.mark.parametrize("site", ["http://192.168.1.20:8000", "https://shop.alderbeck.example"])
def test_slips_that_lead_somewhere_need_no_word(client: Client, cast: Cast, settings: Any, site: str) -> None:
    settings.SITE_URL = site
    client.force_login(cast.teacher)
    assert "this computer alone" not in client.get(f"/people/{cast.section.pk}/").content.decode()
