"""Every refusal of this server carries its mark, and a script gets JSON in place of a page or a redirect."""

import pytest
from django.test import Client
from django.urls import reverse

from quizzes.attempts.acts import start_attempt, void_attempt
from quizzes.models import Attempt
from shopsafe.school.pages.middleware import REFUSAL
from tests.cast import Cast
from tests.factories.banks import AT, kinds_text, published

JSON = {"accept": "application/json"}


@pytest.fixture
def attempt(cast: Cast) -> Attempt:
    return start_attempt(student=cast.student, bank=published(cast.teacher, kinds_text()).pk, at=AT)


def save_of(attempt: Attempt, number: int = 1) -> str:
    return reverse("answer-save", args=[attempt.pk, number])


def test_refusal_carries_its_code_and_sends_a_script_the_reason(cast: Cast, client: Client, attempt: Attempt) -> None:
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="Wrong class.", at=AT)
    client.force_login(cast.student)
    refused = client.post(save_of(attempt), {"revision": "0"}, headers=JSON)
    assert (refused.status_code, refused.headers[REFUSAL]) == (409, "answer.closed")
    assert "Your teacher" in refused.json()["sentence"]
    page = client.post(save_of(attempt), {"revision": "0"})
    assert (page.status_code, page.headers[REFUSAL]) == (409, "answer.closed")
    assert "<h1>" in page.content.decode()


def test_script_gets_401_without_a_redirect_when_the_session_ended(client: Client, attempt: Attempt) -> None:
    refused = client.post(save_of(attempt), headers=JSON)
    assert (refused.status_code, refused.headers[REFUSAL]) == (401, "signed-out")
    page = client.post(save_of(attempt))
    assert (page.status_code, REFUSAL in page.headers) == (302, False)


def test_token_of_another_session_is_marked(cast: Cast, attempt: Attempt) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.student)
    refused = client.post(save_of(attempt), headers=JSON)
    assert (refused.status_code, refused.headers[REFUSAL]) == (403, "form-expired")


def test_missing_and_foreign_pages_carry_the_same_mark(cast: Cast, client: Client, attempt: Attempt) -> None:
    client.force_login(cast.classmate)
    for address in (save_of(attempt), "/no/such/page/"):
        refused = client.post(address, headers=JSON)
        assert (refused.status_code, refused.headers[REFUSAL]) == (404, "not-found")


def test_form_with_a_problem_is_marked(cast: Cast, client: Client, attempt: Attempt) -> None:
    client.force_login(cast.student)
    page = client.post(reverse("attempt-question", args=[attempt.pk, 1]), {"revision": "0"})
    assert (page.status_code, page.headers[REFUSAL]) == (422, "refused")


def test_script_is_given_the_address_of_the_next_page(cast: Cast, client: Client, attempt: Attempt) -> None:
    client.force_login(cast.student)
    done = client.get(reverse("home"), headers=JSON)
    assert (done.status_code, done.json(), REFUSAL in done.headers) == (200, {"onward": "/bench/"}, False)
