"""The page on which a teacher reads and accepts a bank, and what students see until then."""

from dataclasses import replace

import pytest
from django.test import Client
from django.utils import timezone

from quizzes.attempts.acts import start_attempt
from quizzes.banks.editions.acts import accept_bank
from quizzes.models import Acceptance, Bank
from tests.cast import Cast
from tests.factories.banks import answer_all, kinds_text, published


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, kinds_text(), accept=False)


def page(client: Client, path: str) -> str:
    return client.get(path).content.decode()


def test_it_shows_each_rule_with_reason_source_and_numbers(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    page_text = page(client, f"/banks/{bank.pk}/accept/")
    for words in (
        "Set the guard just above the wood.",
        "A low guard keeps",
        "common practice",
        "1/8 in",
        "Practice only",
    ):
        assert words in page_text
    assert "They come first." in page_text


def test_accepting_needs_the_tick(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    refused = client.post(f"/banks/{bank.pk}/accept/", {"edition": 1})
    assert (refused.status_code, Acceptance.objects.count()) == (422, 0)
    assert "Check the box to confirm that you read the rules." in refused.content.decode()
    done = client.post(f"/banks/{bank.pk}/accept/", {"edition": 1, "agree": "on"}, follow=True)
    assert "Attempts count from now on." in done.content.decode()
    assert Acceptance.objects.get().by == cast.teacher


def test_edition_published_since_the_page_opened_is_not_accepted_unread(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    refused = client.post(f"/banks/{bank.pk}/accept/", {"edition": 0, "agree": "on"})
    assert (refused.status_code, Acceptance.objects.count()) == (409, 0)
    assert "has come out since you looked" in refused.content.decode()


def test_taking_it_back_needs_a_reason(client: Client, cast: Cast, bank: Bank) -> None:
    accept_bank(by=cast.teacher, bank=bank.pk, edition=1, at=timezone.now())
    client.force_login(cast.teacher)
    path = f"/banks/{bank.pk}/accept/take-back/"
    assert client.post(path, {"reason": " "}).status_code == 422
    done = client.post(path, {"reason": "The gap is not ours."}, follow=True).content.decode()
    assert "is practice only from now on" in done
    assert Acceptance.objects.get().taken_back_reason == "The gap is not ours."


@pytest.mark.parametrize("tick", [True, False])
def test_publishing_accepts_only_with_its_own_tick(client: Client, cast: Cast, bank: Bank, tick: bool) -> None:
    Bank.objects.filter(pk=bank.pk).update(draft=bank.draft.replace("A low guard", "A guard set low"))
    client.force_login(cast.teacher)
    sent = {"revision": 1, "earlier": "count"} | ({"accept": "on"} if tick else {})
    done = client.post(f"/banks/{bank.pk}/publish/", sent, follow=True).content.decode()
    assert ("Attempts count." if tick else "It is practice only until a teacher accepts it.") in done
    assert Acceptance.objects.filter(edition__number=2).exists() is tick


def test_student_pages_say_that_the_quiz_is_practice(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.student)
    assert "Practice: it does not count yet." in page(client, "/quizzes/")
    assert "This is practice." in page(client, f"/quizzes/{bank.pk}/")
    assert "Practice only." in page(client, f"/rules/{bank.pk}/")
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=timezone.now())
    assert "Practice: it does not count." in page(client, f"/attempts/{attempt.pk}/questions/1/")
    answer_all(attempt, timezone.now())
    assert "This is practice. It does not count." in page(client, f"/attempts/{attempt.pk}/")
    client.post(f"/attempts/{attempt.pk}/hand-in/")
    assert "This was practice." in page(client, f"/attempts/{attempt.pk}/result/")


def test_nothing_says_practice_once_it_is_accepted(client: Client, cast: Cast, bank: Bank) -> None:
    accept_bank(by=cast.teacher, bank=bank.pk, edition=1, at=timezone.now())
    client.force_login(cast.student)
    for path in ("/quizzes/", f"/quizzes/{bank.pk}/", f"/rules/{bank.pk}/"):
        assert "ractice" not in page(client, path).replace("common practice", "")


def test_banks_say_which_are_practice_only(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    assert "Practice only." in page(client, "/banks/")
    assert f"/banks/{bank.pk}/accept/" in page(client, f"/banks/{bank.pk}/")
    accept_bank(by=cast.teacher, bank=bank.pk, edition=1, at=timezone.now())
    assert "Practice only." not in page(client, "/banks/")


def test_it_shows_what_goes_with_the_rules_too(client: Client, cast: Cast) -> None:
    described = {"machine": {"code": "saw", "stop": "Push the paddle.", "demonstration": ["Sets the guard"]}}
    bank = published(cast.teacher, kinds_text(code="saw", extras=described), accept=False)
    client.force_login(cast.teacher)
    page_text = page(client, f"/banks/{bank.pk}/accept/")
    assert "Push the paddle." in page_text
    assert "Sets the guard</dd>" in page_text


def test_several_banks_are_accepted_in_a_sitting_each_by_its_own_mark(client: Client, cast: Cast, bank: Bank) -> None:
    """The bank without a mark stays practice only, and stays on the page."""
    other_bank = published(cast.teacher, replace(kinds_text(), code="jointer", subject="Jointer"), accept=False)
    client.force_login(cast.teacher)
    path = f"/banks/accept/?bank={bank.pk}&bank={other_bank.pk}&next=/today/"
    editions = {f"bank-{number}-edition": 1 for number in (bank.pk, other_bank.pk)}
    nothing_marked = client.post(path, editions)
    assert (nothing_marked.status_code, Acceptance.objects.count()) == (422, 0)
    assert "No bank is marked as read." in nothing_marked.content.decode()
    page_text = client.post(path, editions | {f"bank-{bank.pk}-agree": "on"}, follow=True).content.decode()
    assert [acceptance.edition.bank for acceptance in Acceptance.objects.all()] == [bank]
    assert "Jointer: your mark" in page_text
    assert f'id="bank-{bank.pk}"' not in page_text
    done = client.post(path, editions | {f"bank-{other_bank.pk}-agree": "on"})
    assert client.get(done["Location"])["Location"] == "/today/"
    assert Acceptance.objects.count() == 2


def test_a_marked_bank_with_a_newer_edition_stays_unread_and_says_so(client: Client, cast: Cast, bank: Bank) -> None:
    other_bank = published(cast.teacher, replace(kinds_text(), code="jointer", subject="Jointer"), accept=False)
    client.force_login(cast.teacher)
    sent = {f"bank-{bank.pk}-edition": 0, f"bank-{other_bank.pk}-edition": 1}
    marks = {f"bank-{number}-agree": "on" for number in (bank.pk, other_bank.pk)}
    answer = client.post(f"/banks/accept/?bank={bank.pk}&bank={other_bank.pk}", sent | marks)
    assert answer.status_code == 409
    assert "has come out since you looked" in answer.content.decode()
    assert [acceptance.edition.bank for acceptance in Acceptance.objects.all()] == [other_bank]
