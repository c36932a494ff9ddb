"""The page that corrects a student's name."""

import pytest
from django.test import Client

from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.people import EnrollmentFactory, PersonFactory


@pytest.fixture
def place(client: Client, cast: Cast) -> str:
    client.force_login(cast.teacher)
    student = PersonFactory(school=cast.school, name="Elif", given_name="", family_name="", local_id="S1004")
    EnrollmentFactory(section=cast.section, student=student)
    return f"/people/{cast.section.pk}/{student.pk}/name/"


def test_is_reached_from_the_class_and_leads_back(client: Client, cast: Cast, place: str) -> None:
    student_page = place.removesuffix("name/")
    assert student_page in client.get(f"/people/{cast.section.pk}/").content.decode()
    assert place in client.get(student_page).content.decode()
    page = client.get(place).content.decode()
    assert 'value="Elif"' in page
    assert "the name to sign in with is still <b>Elif</b>" in page
    done = client.post(place, {"given": "Elif", "family": "Kaya"}, follow=True)
    assert "The name is Elif Kaya now. The name to sign in with is Elif." in done.content.decode()
    assert Person.objects.get(local_id="S1004").family_name == "Kaya"


def test_page_says_that_the_sign_in_name_changes_without_a_slip(client: Client, cast: Cast, place: str) -> None:
    student = Person.objects.get(local_id="S1004")
    student.set_unusable_password()
    student.save()
    assert "changes too" in client.get(place).content.decode()


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"given": "", "family": "Kaya"}, "Type the given name, or the only one."),
        ({"given": "7", "family": ""}, "There are no letters in the name."),
        ({"given": "E" * 60, "family": "K" * 60}, "The name is longer than 80 letters."),
    ],
)
def test_invalid_name_shows_an_error_at_its_field(client: Client, place: str, sent: dict[str, str], said: str) -> None:
    page = client.post(place, sent)
    assert page.status_code == 422
    assert f'<p class="error" id="id_given_error">{said}</p>' in page.content.decode()
    assert "<title>Error: " in page.content.decode()


def test_a_colleague_has_no_link(client: Client, cast: Cast, place: str) -> None:
    client.force_login(cast.colleague)
    assert place not in client.get(f"/people/{cast.section.pk}/").content.decode()
