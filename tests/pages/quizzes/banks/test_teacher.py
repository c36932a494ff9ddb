"""A teacher's pages: banks, publishing, blueprint, who waits, an attempt."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.banks.rules.editing import put_rule, retire
from quizzes.models import Attempt, Edition, Picture, Release
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, a_one, a_rule
from tests.factories.banks import DAY, MINUTE, bank_text, change, kinds_text, learn, make_bank, published, take


def page_of(client: Client, name: str, *args: object) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def test_banks_say_what_is_out(cast: Cast, teacher: Client) -> None:
    published(cast.teacher)
    make_bank(cast.school, bank_text(code="drill-press"))
    page = page_of(teacher, "banks")
    assert '<td data-head="Edition">1</td>' in page.replace("> ", ">").replace(" <", "<")
    assert "Not published yet." in page


def test_a_bank_shows_rules_questions_keys_values_and_findings(cast: Cast, teacher: Client) -> None:
    page = page_of(teacher, "bank", make_bank(cast.school, kinds_text()).pk)
    for text in (
        "Set the guard just above the wood.",
        "Just above the wood",
        "Eyes: Safety glasses",
        "1/8 in",
        "No problems found.",
    ):
        assert text in page


def test_publishing_shows_findings_and_makes_the_edition(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school)
    assert "Publish edition 1" in page_of(teacher, "bank-publish", bank.pk)
    form = {"revision": 1, "earlier": "count"}
    response = teacher.post(reverse("bank-publish", args=[bank.pk]), form, follow=True)
    assert "Edition 1 is out." in response.content.decode()
    assert Edition.objects.get().published_by == cast.teacher


def test_an_error_blocks_publishing(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school, a_bank(questions=(a_one(wrong=("Just above the wood", "Up")),), ask=1))
    page = page_of(teacher, "bank-publish", bank.pk)
    assert "Must be fixed" in page
    assert "Publish edition" not in page
    response = teacher.post(reverse("bank-publish", args=[bank.pk]), {"revision": 1, "earlier": "count"})
    assert response.status_code == 422
    assert not Edition.objects.exists()


def test_a_day_that_is_missing_or_past_is_asked_for(cast: Cast, teacher: Client) -> None:
    bank = published(cast.teacher)
    change(bank, bank_text(subject="New"))
    for until in ("", "2020-01-01", "never"):
        form = {"revision": 2, "earlier": "until", "until": until}
        assert teacher.post(reverse("bank-publish", args=[bank.pk]), form).status_code == 422
    assert Edition.objects.count() == 1


def test_stale_publication_shows_an_error(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school)
    change(bank, bank_text(subject="New"))
    response = teacher.post(reverse("bank-publish", args=[bank.pk]), {"revision": 1, "earlier": "count"})
    assert response.status_code == 409
    assert "changed since you opened it" in response.content.decode()


def test_the_blueprint_says_luck_in_words(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school, bank_text(rules=20, each=3, ask=20))
    page = page_of(teacher, "bank-blueprint", bank.pk)
    assert "Someone who knows 80 % of the rules gets a perfect attempt about once in 26." in page
    assert "Ask at least 23 questions" in page
    assert "Nothing. Every rule has enough questions" in page


def test_blueprint_says_how_many_questions_neighbors_share(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school, bank_text(rules=2, each=4, ask=2))
    page = page_of(teacher, "bank-blueprint", bank.pk)
    for students, shared in ((2, "0.0"), (10, "0.4"), (30, "0.5")):
        assert f'<th scope="row">{students}</th><td>{shared}</td>' in page


def test_the_blueprint_says_what_the_bank_lacks(cast: Cast, teacher: Client) -> None:
    page = page_of(teacher, "bank-blueprint", make_bank(cast.school, bank_text(each=2)).pk)
    assert page.count("lacks 1 question for a fresh form after a miss") == 3


@pytest.fixture
def stuck(cast: Cast) -> Attempt:
    now = (timezone.now() - DAY).replace(hour=18)
    bank = published(cast.teacher)
    learn(take(cast.student, bank, now - 60 * MINUTE, wrong=["r1"]), now - 50 * MINUTE)
    return take(cast.student, bank, now - 40 * MINUTE, wrong=["r1"])


def test_a_teacher_sees_the_missed_rules_and_releases_with_one_tap(cast: Cast, teacher: Client, stuck: Attempt) -> None:
    page = page_of(teacher, "students-waiting")
    assert cast.student.name in page
    assert "Keep rule number 1." in page
    response = teacher.post(reverse("student-release", args=[stuck.pk]), follow=True)
    assert "No one is waiting for you." in response.content.decode()
    assert Release.objects.get().released_by == cast.teacher


def test_an_attempt_is_shown_as_taken_and_voided_with_a_reason(cast: Cast, teacher: Client, stuck: Attempt) -> None:
    url = reverse("attempt-void", args=[stuck.pk])
    assert "At the top of the post" in teacher.get(url).content.decode()
    assert teacher.post(url, {"reason": " "}).status_code == 422
    assert "Fire alarm." in teacher.post(url, {"reason": "Fire alarm."}, follow=True).content.decode()
    assert Attempt.objects.get(pk=stuck.pk).void_reason == "Fire alarm."


def test_a_picture_is_served_locked_up(cast: Cast, teacher: Client) -> None:
    Picture.objects.create(school=cast.school, digest="b" * 64, kind="svg", content=b"<svg/>")
    response = teacher.get(reverse("bank-picture", args=["b" * 64, "svg"]))
    assert response.content == b"<svg/>"
    assert response.headers["Content-Type"] == "image/svg+xml"
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; style-src 'unsafe-inline'; sandbox"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert "immutable" in response.headers["Cache-Control"]
    assert teacher.get(reverse("bank-picture", args=["b" * 64, "png"])).status_code == 404


def test_publishing_says_what_is_different_since_the_last_edition(cast: Cast, teacher: Client) -> None:
    bank = published(cast.teacher)
    assert "There is nothing new to publish." in page_of(teacher, "bank-publish", bank.pk)
    text = bank_text()
    change(bank, retire(put_rule(text, a_rule("new", says="Sweep up.")), "question", "r1-q1"))
    page = page_of(teacher, "bank-publish", bank.pk)
    assert "What is different since edition 1" in page
    assert "<b>Added</b> <span>Rule: Sweep up.</span>" in page
    assert "<b>Retired</b> <span>Question: What does rule 1 say in case 1?</span>" in page


BLUEPRINT = {"revision": "1", "ask": "20", "misses_a_day": "3", "wait_minutes": "10", "must": ["r0", "r1"]}


def test_the_blueprint_is_tried_out_then_set(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school, bank_text(rules=20, each=3, ask=10))
    address = reverse("bank-blueprint", args=[bank.pk])
    page = teacher.post(address, BLUEPRINT | {"step": "look"}).content.decode()
    assert "They are not saved yet." in page
    assert "a perfect attempt about once in 26." in page
    assert "Ask at least 26 questions" in page
    bank.refresh_from_db()
    assert bank.draft_revision == 1
    page = teacher.post(address, BLUEPRINT | {"step": "save"}, follow=True).content.decode()
    assert "It holds from the next edition on." in page
    assert 'value="20"' in page
    again = teacher.post(address, BLUEPRINT | {"ask": "30"})
    assert again.status_code == 409
    assert "changed the quiz settings" in again.content.decode()


@pytest.mark.parametrize(
    ("wrong", "field"),
    [({"ask": "0"}, "ask"), ({"ask": "1"}, "ask"), ({"wait_minutes": "x"}, "wait_minutes"), ({"must": ["no"]}, "must")],
)
def test_a_blueprint_that_can_not_be_is_named(cast: Cast, teacher: Client, wrong: dict, field: str) -> None:
    bank = make_bank(cast.school)
    response = teacher.post(reverse("bank-blueprint", args=[bank.pk]), BLUEPRINT | wrong)
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
