"""The sign-in page."""

from django.test import Client

from tests.cast import Cast
from tests.factories.people import CODE


def test_a_wrong_code_keeps_the_name_and_says_what_to_do(client: Client, cast: Cast) -> None:
    page = client.post("/sign-in/", {"name": cast.student.sign_in_name, "code": "WRONG"})
    assert page.status_code == 422
    text = page.content.decode()
    assert "Look at your slip, or at your password, and try again." in text
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


def test_signing_out_leaves_storage_when_an_answer_is_unsaved(client: Client, cast: Cast) -> None:
    client.force_login(cast.student)
    page = client.post("/sign-out/", {"waiting": "1"})
    assert page.headers["Clear-Site-Data"] == '"cache"'
    assert "_auth_user_id" not in client.session


def test_a_page_asks_strangers_to_sign_in(client: Client, db: None) -> None:
    assert client.get("/").headers["Location"] == "/sign-in/?next=/"


MID_QUIZ = "/attempts/0b7e1bc8-4a9c-4f0f-9a53-5d6f9a3a7f10/questions/3/"  # of nobody here


def test_signed_out_in_mid_quiz_is_said_and_elsewhere_not(client: Client, cast: Cast) -> None:
    said = "You were signed out."
    assert said in client.get("/sign-in/", {"next": MID_QUIZ}).content.decode()
    for elsewhere in ("/bench/", "/", "/machines/3/", "", "https://elsewhere.example/", "//x", "/no/such/page/"):
        assert said not in client.get("/sign-in/", {"next": elsewhere}).content.decode(), elsewhere


def test_who_signs_in_on_the_page_of_somebody_else_begins_at_their_own(client: Client, cast: Cast) -> None:
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


def tries(cast: Cast, name: str, count: int) -> list[bool]:
    """Whether each of so many wrong codes, from a browser of its own, warns that the next one can lock the name."""
    client = Client()
    pages = [client.post("/sign-in/", {"name": name, "code": "WRONG"}).content.decode() for _ in range(count)]
    return ["One more wrong code can lock this name." in page for page in pages]


def test_the_fourth_wrong_code_warns_of_the_lock_and_tells_no_name(client: Client, cast: Cast) -> None:
    warned = [False, False, False, True]
    assert tries(cast, cast.student.sign_in_name, 4) == warned
    assert tries(cast, "Nobody Here", 4) == warned
    assert tries(cast, cast.teacher.sign_in_name, 4) == warned


def test_the_warning_counts_one_name_and_starts_again_after_the_right_code(client: Client, cast: Cast) -> None:
    wrong, right = ({"name": cast.student.sign_in_name, "code": code} for code in ("WRONG", CODE))
    other = {"name": "Nobody Here", "code": "WRONG"}
    for form in (wrong, wrong, wrong, other):
        page = client.post("/sign-in/", form)
        assert "can lock this name" not in page.content.decode()
    assert client.post("/sign-in/", right).status_code == 302
    assert "missed" not in client.session
