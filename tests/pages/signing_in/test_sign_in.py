"""The sign-in page."""

import html

from django.test import Client

from shopsafe.school.models import KnownDevice, Session
from shopsafe.school.signing_in import acts
from shopsafe.school.signing_in.codes.devices import digest_of
from tests.cast import Cast
from tests.factories.people import CODE


def test_a_wrong_code_keeps_the_name_and_says_what_to_do(client: Client, cast: Cast) -> None:
    page = client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": "WRONG"})
    assert page.status_code == 422
    text = page.content.decode()
    assert "Check both and try again." in text
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


def test_signing_in_never_leads_out_again(client: Client, cast: Cast) -> None:
    form = {"name": cast.student.sign_in_name, "code": CODE}
    for way_out in ("/sign-out/", "/sign-in/", "/sign-in/?next=/sign-out/", "/stay/"):
        page = client.post(f"/sign-in/?next={way_out}", form)
        assert page.headers["Location"] == "/", way_out
        assert client.get("/bench/").status_code == 200


def test_sign_in_after_a_sent_form_leads_to_the_home_page(client: Client, cast: Cast) -> None:
    form = {"name": cast.student.sign_in_name, "code": CODE}
    page = client.post("/sign-in/?next=/quizzes/1/start/", form, follow=True)
    assert page.redirect_chain == [("/quizzes/1/start/", 302), ("/", 302), ("/bench/", 302)]


def test_script_gets_one_sentence_for_a_wrong_code(client: Client, cast: Cast) -> None:
    script = {"Accept": "application/json"}
    form = {"name": cast.student.sign_in_name, "code": "WRONG"}
    refused = client.post("/sign-in/", form, headers=script)
    assert (refused.status_code, refused.json()["sentence"]) == (422, f"{acts.WRONG} {acts.ASK}")
    assert client.post("/sign-in/", form | {"code": ""}, headers=script).status_code == 422
    opened = client.post("/sign-in/", form | {"code": CODE}, headers=script)
    assert (opened.status_code, opened.json()) == (200, {"onward": "/"})
    assert client.get("/bench/").status_code == 200


def test_signing_out_empties_the_browser(client: Client, cast: Cast) -> None:
    client.force_login(cast.student)
    page = client.post("/sign-out/")
    assert page.headers["Clear-Site-Data"] == '"cache", "storage"'
    assert "_auth_user_id" not in client.session


def test_signing_out_leaves_storage_when_an_answer_is_unsaved(client: Client, cast: Cast) -> None:
    client.force_login(cast.student)
    page = client.post("/sign-out/", {"waiting": "1"})
    assert page.headers["Clear-Site-Data"] == '"cache"'
    assert "_auth_user_id" not in client.session


def test_a_page_asks_strangers_to_sign_in(client: Client, db: None) -> None:
    assert client.get("/").headers["Location"] == "/sign-in/?next=/"


MID_QUIZ = "/attempts/0b7e1bc8-4a9c-4f0f-9a53-5d6f9a3a7f10/questions/3/"  # of no one here


def test_signed_out_in_mid_quiz_is_said_and_elsewhere_not(client: Client, cast: Cast) -> None:
    message = "You were signed out."
    assert message in client.get("/sign-in/", {"next": MID_QUIZ}).content.decode()
    for elsewhere in ("/bench/", "/", "/machines/3/", "", "https://elsewhere.example/", "//x", "/no/such/page/"):
        assert message not in client.get("/sign-in/", {"next": elsewhere}).content.decode(), elsewhere


def test_sign_in_on_another_persons_page_leads_to_the_home_page(client: Client, cast: Cast) -> None:
    form = {"name": cast.student.sign_in_name, "code": CODE}
    page = client.post(f"/sign-in/?next={MID_QUIZ}", form, follow=True)
    assert page.redirect_chain == [(MID_QUIZ, 302), ("/", 302), ("/bench/", 302)]
    assert client.get(MID_QUIZ).status_code == 404, "foreign and missing stay the same 404"


def test_only_the_page_right_after_signing_in_leads_home(client: Client, cast: Cast) -> None:
    client.post("/sign-in/?next=/rules/", {"name": cast.student.sign_in_name, "code": CODE})
    assert client.get("/rules/").status_code == 200
    assert client.get("/rules/999999/").status_code == 404
    client.logout()
    client.post(f"/sign-in/?next={MID_QUIZ}", {"name": cast.student.sign_in_name, "code": CODE})
    assert client.get("/bench/").status_code == 200
    assert client.get(MID_QUIZ).status_code == 404


def said_of(name: str, count: int) -> list[str]:
    """What is said of so many wrong codes in a row, in a browser of its own."""
    client = Client()
    client.get("/sign-in/")
    pages = [client.post("/sign-in/", {"name": name, "code": "WRONG"}).content.decode() for _ in range(count)]
    return [html.unescape(page.partition('id="id_code_error">')[2].partition("</p>")[0]) for page in pages]


def test_wrong_codes_read_alike_for_every_name_and_the_fourth_warns(cast: Cast) -> None:
    sentences = said_of("No one Here", 6)
    assert [acts.LAST_BUT_ONE in sentence for sentence in sentences] == [False, False, False, True, False, False]
    assert sentences[4] == sentences[5] == acts.DEVICE_LOCKED
    for person in (cast.student, cast.teacher, cast.office):
        assert said_of(person.sign_in_name, 6) == sentences


def test_warning_counts_one_name_and_restarts_after_the_right_code(client: Client, cast: Cast) -> None:
    wrong, right = ({"name": cast.student.sign_in_name, "code": code} for code in ("WRONG", CODE))
    other = {"name": "No one Here", "code": "WRONG"}
    client.get("/sign-in/")
    for form in (wrong, wrong, wrong, other):
        page = client.post("/sign-in/", form)
        assert acts.LAST_BUT_ONE not in html.unescape(page.content.decode())
    assert client.post("/sign-in/", right).status_code == 302
    client.post("/sign-out/")
    assert acts.LAST_BUT_ONE not in html.unescape(client.post("/sign-in/", wrong).content.decode())


def test_device_gets_its_number_with_the_page_and_keeps_it(client: Client, cast: Cast) -> None:
    cookie = client.get("/sign-in/").cookies["device"]
    assert (cookie["httponly"], cookie["samesite"], len(cookie.value)) == (True, "Lax", 43)
    client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": CODE})
    client.post("/sign-out/")
    assert "device" not in client.get("/sign-in/").cookies
    assert client.cookies["device"].value == cookie.value
    assert KnownDevice.objects.get().device == digest_of(cookie.value)


def test_foreign_device_number_is_replaced(client: Client, cast: Cast) -> None:
    client.cookies["device"] = "x" * 5000
    assert len(client.get("/sign-in/").cookies["device"].value) == 43


def test_failed_sign_in_leaves_no_session(client: Client, cast: Cast) -> None:
    client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": "WRONG"})
    assert not Session.objects.exists()
