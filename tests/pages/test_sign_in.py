"""The sign-in page."""

from django.test import Client

from tests.cast import Cast
from tests.factories.people import CODE


def test_a_wrong_code_keeps_the_name_and_says_what_to_do(client: Client, cast: Cast) -> None:
    page = client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": "WRONG"})
    assert page.status_code == 422
    text = page.content.decode()
    assert "Look at your slip and try again." in text
    assert f'value="{cast.student.sign_in_name}"' in text
    assert "<title>Error: " in text.replace("\n", "")


def test_the_right_code_opens_the_first_page_and_a_new_session(client: Client, cast: Cast) -> None:
    page = client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": CODE})
    assert (page.status_code, page.headers["Location"]) == (302, "/")
    assert client.session["_auth_user_id"] == str(cast.student.pk)


def test_goes_on_to_a_page_of_ours_only(client: Client, cast: Cast) -> None:
    form = {"name": cast.student.sign_in_name, "code": CODE}
    assert client.post("/sign-in/?next=https://elsewhere.example/", form).headers["Location"] == "/"
    assert client.post("/sign-in/?next=/bench/", form).headers["Location"] == "/bench/"


def test_signing_out_empties_the_browser(client: Client, cast: Cast) -> None:
    client.force_login(cast.student)
    page = client.post("/sign-out/")
    assert page.headers["Clear-Site-Data"] == '"cache", "storage"'
    assert "_auth_user_id" not in client.session


def test_a_page_asks_strangers_to_sign_in(client: Client, db: None) -> None:
    assert client.get("/").headers["Location"] == "/sign-in/?next=/"
