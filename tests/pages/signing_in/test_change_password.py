"""The page on which a staff member changes the own password."""

import pytest
from django.test import Client

from tests.cast import Cast
from tests.factories.people import PASSWORD

PLACE = "/password/"
ANOTHER = "nine teak boards planed true"
SENT = {"current": PASSWORD, "password": ANOTHER, "again": ANOTHER}


@pytest.fixture
def teacher(client: Client, cast: Cast) -> Client:
    client.post("/sign-in/", {"name": cast.teacher.sign_in_name, "code": PASSWORD})
    return client


def test_password_change_ends_the_other_sessions_only(teacher: Client, cast: Cast) -> None:
    elsewhere = Client()
    elsewhere.post("/sign-in/", {"name": cast.teacher.sign_in_name, "code": PASSWORD})
    page = teacher.post(PLACE, SENT, follow=True)
    assert "Your password is changed." in page.content.decode()
    assert elsewhere.get("/today/").status_code == 302
    assert teacher.get("/today/").status_code == 200


def test_the_name_at_the_head_leads_there_but_not_a_student(teacher: Client, cast: Cast) -> None:
    link = f'<a href="{PLACE}">{cast.teacher.name}<span class="unseen">: change my password</span></a>'
    assert link in teacher.get("/today/").content.decode()
    student = Client()
    student.force_login(cast.student)
    assert f'href="{PLACE}"' not in student.get("/bench/").content.decode()


@pytest.mark.parametrize(
    ("sent", "field", "said"),
    [
        ({"current": "no"}, "current", "That is not your current password. Try again."),
        ({"current": ""}, "current", "Type the password you signed in with."),
        ({"password": "short", "again": "short"}, "password", "This password is too short."),
        ({"again": "nine teak boards"}, "again", "The two new passwords are not the same. Type both again."),
    ],
)
def test_invalid_password_shows_an_error_at_its_field(
    teacher: Client, sent: dict[str, str], field: str, said: str
) -> None:
    page = teacher.post(PLACE, SENT | sent)
    assert page.status_code == 422
    assert f'<p class="error" id="id_{field}_error">{said}' in page.content.decode()
    assert ANOTHER not in page.content.decode()
