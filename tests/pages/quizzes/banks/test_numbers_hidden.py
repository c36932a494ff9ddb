"""Numbers to know are not readable beside an open attempt at the same bank, and come back when it is handed in."""

from collections.abc import Callable

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.attempts.acts import hand_in, start_attempt
from quizzes.models import Attempt, Bank
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.banks import MINUTE, answer_all, kinds_text, learn, published, take
from tests.factories.machines import Floor

HIDDEN = "Its numbers are shown here again after you hand it in."


def rules_page(client: Client, bank: int) -> str:
    return client.get(reverse("rules-of-bank", args=[bank])).content.decode()


def test_rules_page_hides_numbers_while_the_quiz_is_open(student: Client, attempt: Attempt) -> None:
    page = rules_page(student, attempt.bank_id)
    assert "1/8 in" not in page
    assert page.count(HIDDEN) == 1


def test_rules_page_shows_numbers_again_after_hand_in(student: Client, attempt: Attempt) -> None:
    answer_all(attempt, timezone.now())
    hand_in(student=attempt.student, attempt=attempt.pk, at=timezone.now())
    page = rules_page(student, attempt.bank_id)
    assert "1/8 in" in page
    assert HIDDEN not in page


def test_rules_page_shows_numbers_to_everyone_else(
    cast: Cast, attempt: Attempt, as_person: Callable[[Person], Client]
) -> None:
    for person in (cast.classmate, cast.teacher, cast.office):
        assert "1/8 in" in rules_page(as_person(person), attempt.bank_id)


def test_numbers_of_another_bank_stay_readable(student: Client, cast: Cast, attempt: Attempt) -> None:
    other = published(cast.teacher, kinds_text(code="other"))
    assert "1/8 in" in rules_page(student, other.pk)


def test_study_card_hides_numbers_while_the_next_quiz_is_open(student: Client, cast: Cast, bank: Bank) -> None:
    missed = take(cast.student, bank, timezone.now() - 60 * MINUTE, wrong=["guard-low"])
    card = reverse("relearn-card", args=[missed.pk, 1])
    assert "1/8 in" in student.get(card).content.decode()
    learn(missed, timezone.now() - 30 * MINUTE)
    start_attempt(student=cast.student, bank=bank.pk, at=timezone.now())
    page = student.get(card).content.decode()
    assert "1/8 in" not in page
    assert HIDDEN in page


def test_machine_page_hides_numbers_while_the_quiz_is_open(
    client: Client, cast: Cast, floor: Floor, as_person: Callable[[Person], Client]
) -> None:
    bank = published(cast.teacher, kinds_text())
    floor.saw.bank = bank
    floor.saw.save(update_fields=["bank"])
    address = reverse("machine", args=[floor.saw_2.pk])
    student = as_person(cast.student)
    assert "1/8 in" in student.get(address).content.decode()
    start_attempt(student=cast.student, bank=bank.pk, at=timezone.now())
    page = student.get(address).content.decode()
    assert "1/8 in" not in page
    assert HIDDEN in page
    assert "1/8 in" in as_person(cast.teacher).get(address).content.decode()
