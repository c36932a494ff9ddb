"""A student's list of quizzes, the page before a quiz, and the rules."""

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.attempts.acts import start_attempt
from tests.cast import Cast
from tests.counting import queries
from tests.factories.banks import DAY, MINUTE, bank_text, change, learn, make_bank, publish, published, take


def list_page(student: Client) -> str:
    return student.get(reverse("quizzes")).content.decode()


def test_an_empty_list_says_why(student: Client) -> None:
    assert "There is no quiz yet." in list_page(student)


def test_a_draft_is_not_on_the_list(cast: Cast, student: Client) -> None:
    make_bank(cast.school, bank_text())
    assert "There is no quiz yet." in list_page(student)


def test_the_list_says_the_next_step_of_each_quiz(cast: Cast, student: Client) -> None:
    now = (timezone.now() - DAY).replace(hour=18)
    banks = {
        name: published(cast.teacher, bank_text(code=name)) for name in ("fresh", "going", "missed", "waits", "done")
    }
    start_attempt(student=cast.student, bank=banks["going"].pk, at=now)
    take(cast.student, banks["missed"], now - 30 * MINUTE, wrong=["r1", "r2"])
    learn(take(cast.student, banks["waits"], timezone.now() - 30 * MINUTE, wrong=["r1"]), timezone.now())
    take(cast.student, banks["done"], now - 30 * MINUTE)
    page = list_page(student)
    for line in (
        "Not started. 3 questions.",
        "You have begun. Your answers are saved.",
        "2 rules to learn again.",
        "Wait until",
        "Passed. Every answer was right.",
    ):
        assert page.count(line) == 1, line


def test_a_pass_that_ends_says_its_last_day(cast: Cast, student: Client) -> None:
    now = timezone.now()
    bank = published(cast.teacher, bank_text())
    take(cast.student, bank, now - DAY)
    change(bank, bank_text(subject="Band saw, new"))
    publish(bank, cast.teacher, now - MINUTE, "until", until=(now + 30 * DAY).date())
    last = (now + 30 * DAY).date()
    assert f"It counts until {last:%B} {last.day}, {last.year}." in list_page(student)


def test_the_list_takes_as_many_queries_for_one_quiz_as_for_many(cast: Cast, student: Client) -> None:
    counts = []
    for number in range(12):
        take(cast.student, published(cast.teacher, bank_text(code=f"bank-{number}")), wrong=["r1"])
        list_page(student)
        with queries() as sent:
            list_page(student)
        counts.append(len(sent))
    # person, editions, attempts, cards, publications, classes, what they use, machines; the session is the person's
    assert set(counts) == {8}


def test_the_page_before_a_quiz_says_what_it_is_like(cast: Cast, student: Client) -> None:
    bank = published(cast.teacher, bank_text())
    page = student.get(reverse("quiz", args=[bank.pk])).content.decode()
    assert "There are 3 questions." in page
    assert "You pass when every answer is right." in page
    assert "Start the quiz" in page
    take(cast.student, bank, timezone.now() - DAY, wrong=["r1"])
    assert "Start the quiz" not in student.get(reverse("quiz", args=[bank.pk])).content.decode()


def test_starting_leads_to_the_first_question_and_again_to_the_same(cast: Cast, student: Client) -> None:
    bank = published(cast.teacher, bank_text())
    first = student.post(reverse("attempt-start", args=[bank.pk])).headers["Location"]
    assert first.endswith("/questions/1/")
    assert student.post(reverse("attempt-start", args=[bank.pk])).headers["Location"] == first


def test_the_rules_are_those_of_the_latest_edition(cast: Cast, student: Client) -> None:
    bank = published(cast.teacher, bank_text())
    change(bank, bank_text(subject="Not published", rules=2))
    page = student.get(reverse("rules-of-bank", args=[bank.pk])).content.decode()
    assert "Keep rule number 2." in page
    assert "Not published" not in page
    assert "Do 1" not in page, "no answer stands among the rules"
