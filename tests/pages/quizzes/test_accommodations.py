"""What a teacher gives, and how a quiz is shown with it; what passes stays the same."""

import json
import re
from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from quizzes.attempts.acts import hand_in, start_attempt
from quizzes.models import Attempt
from quizzes.questions.form_data import lines_of
from quizzes.questions.translating import texts
from shopsafe.logbook.models import Body
from shopsafe.school.models import Person
from shopsafe.school.people.acts.accommodations import give_accommodations
from shopsafe.school.reading.accommodations import Accommodations
from tests.cast import Cast
from tests.counting import queries
from tests.factories.bank_texts import a_bank, every_kind
from tests.factories.banks import AT, answer_all, kinds_text, published
from tests.pages.quizzes.attempts.test_no_leak import keyed


def give(cast: Cast, **given: object) -> None:
    give_accommodations(student=cast.student, given=Accommodations(**given), by=cast.teacher, at=AT)  # type: ignore[arg-type]


def page_of(student: Client, attempt: Attempt, kind: str) -> str:
    number = next(number for number, line in enumerate(lines_of(attempt.form), 1) if line.kind == kind)
    return student.get(reverse("attempt-question", args=[attempt.pk, number])).content.decode()


@pytest.fixture
def spanish(cast: Cast) -> Attempt:
    """Everything translated but the question of kind `one`."""
    text = kinds_text()
    translations = {phrase: f"es {phrase}" for item in (*text.rules, *text.questions[1:]) for phrase in texts(item)}
    bank = published(cast.teacher, replace(text, extras={"text": {"es": translations}}))
    return start_attempt(student=cast.student, bank=bank.pk, at=AT)


def test_a_teacher_gives_and_takes_back(cast: Cast, teacher: Client) -> None:
    page = reverse("accommodations", args=[cast.student.pk])
    response = teacher.post(page, {"aloud": "on", "size": "larger", "language": ""}, follow=True)
    assert "has these from now on." in response.content.decode()
    assert Person.objects.get(pk=cast.student.pk).given == Accommodations(aloud=True, size="larger")
    assert re.search(r'name="aloud"[^>]*checked', response.content.decode())
    teacher.post(page, {"size": "usual"})
    assert Person.objects.get(pk=cast.student.pk).given == Accommodations()


def test_a_language_is_offered_where_a_bank_has_it(cast: Cast, teacher: Client, spanish: Attempt) -> None:
    page = reverse("accommodations", args=[cast.student.pk])
    assert '<option value="es">Spanish</option>' in teacher.get(page).content.decode()
    assert teacher.post(page, {"size": "usual", "language": "vi"}).status_code == 422
    teacher.post(page, {"size": "usual", "language": "es"})
    assert Person.objects.get(pk=cast.student.pk).given.language == "es"


def test_a_question_stands_in_the_language_or_says_that_it_does_not(
    cast: Cast, student: Client, spanish: Attempt
) -> None:
    give(cast, language="es")
    pair, one_answer_page = page_of(student, spanish, "pair"), page_of(student, spanish, "one")
    assert "es Safety glasses" in pair
    assert 'lang="es"' in pair
    assert "This question is in" not in pair
    assert "es Where does" not in one_answer_page
    assert "es Just above" not in one_answer_page
    assert "This question is in English only." in one_answer_page


def test_the_rules_say_in_which_language_each_stands(cast: Cast, student: Client, spanish: Attempt) -> None:
    page = reverse("rules-of-bank", args=[spanish.bank_id])
    assert '<li class="rule-card" lang="en">' in student.get(page).content.decode()
    give(cast, language="es")
    translated = student.get(page).content.decode()
    assert '<li class="rule-card" lang="es"><h2>es Set the guard just above the wood.</h2>' in translated


def test_quiz_without_a_language_says_nothing_about_languages(student: Client, spanish: Attempt) -> None:
    page = page_of(student, spanish, "pair")
    assert "es Safety glasses" not in page
    assert "only.</p>" not in page


def test_type_space_and_reading_aloud_come_with_the_student(cast: Cast, student: Client, attempt: Attempt) -> None:
    plain = page_of(student, attempt, "one")
    assert "data-look" not in plain
    assert "data-aloud" not in plain
    give(cast, aloud=True, size="larger", roomy=True)
    adjusted = page_of(student, attempt, "one")
    assert 'data-look="larger roomy"' in adjusted
    assert 'data-aloud="asked"' in adjusted
    assert 'data-look="larger roomy"' in student.get(reverse("quizzes")).content.decode()


def test_picture_is_described_in_words(cast: Cast, student: Client) -> None:
    spot = next(question for question in every_kind() if question.kind == "spot")
    bank = keyed(cast.teacher, a_bank(code="spots", questions=(spot,), ask=1))
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT)
    assert "<image" in page_of(student, attempt, "spot")
    give(cast, described=True)
    page = page_of(student, attempt, "spot")
    assert "<image" not in page
    assert "A saw seen from the front: blade, table, wheel." in page
    assert "<span>: On the wheel cover</span>" in page


def test_the_record_shows_the_quiz_as_it_was_read_and_the_bar_stays(cast: Cast, spanish: Attempt) -> None:
    give(cast, language="es", aloud=True)
    spanish.student.refresh_from_db()
    answer_all(spanish, AT, wrong=["guard-low"])
    done = hand_in(student=spanish.student, attempt=spanish.pk, at=AT)
    assert not done.perfect
    payload = json.loads(bytes(Body.objects.get(entry=done.entry).payload))
    assert payload["accommodations"] == ["Read aloud", "In Spanish, where the bank has it"]
    pair = next(question for question in payload["questions"] if question["kind"] == "pair")
    assert pair["left"][0].startswith("es ")


def test_they_cost_no_query(cast: Cast, student: Client, spanish: Attempt) -> None:
    give(cast, language="es", aloud=True, described=True)
    page_of(student, spanish, "one")
    with queries() as sent:
        page_of(student, spanish, "one")
    assert len(sent) == 3, sent
