"""What the answers teach the teacher: question quality, rules to reteach, the warm-up, correcting a key."""

from collections.abc import Mapping
from datetime import date
from io import BytesIO

import pikepdf
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from machines.demo.earlier_years import Nature, earlier_years
from quizzes.attempts.regrading.acts import correct_key
from quizzes.facts import BankText, OneAnswer
from quizzes.figures import counting
from quizzes.figures.queries import figures_of
from quizzes.models import Bank, Edition, Regrade
from shopsafe.school.models import Person
from tests.acts.quizzes.banks.test_correct_key import answering
from tests.cast import Cast
from tests.factories.banks import AT, DAY, bank_text, published, take
from tests.factories.people import EnrollmentFactory
from tests.shelf.banks import bank_of

BEFORE = date(2025, 9, 1)
USUAL = {"log_seconds": 3.0, "temptations": (0.6, 0.3, 0.1)}


@pytest.fixture
def page(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.teacher)
    return client


def words(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status
    return " ".join(response.content.decode().split())


def choices(text: BankText) -> list[str]:
    """Questions with four answers to choose one from."""
    live = text.live_questions
    return [q.code for q in live if isinstance(q, OneAnswer) and len(q.wrong) == 3]


def most_met(bank: Bank, text: BankText, count: int) -> list[str]:
    """The choices that last year's students met most, in a bank whose counts are those of the demo."""
    histories = figures_of(bank).histories
    return sorted(choices(text), key=lambda code: -histories[code].measured.item.n)[:count]


def demo_bank(cast: Cast, natures: Mapping[str, Nature] | None = None) -> Bank:
    """The band saw's bank of the shelf, with the earlier year that the demo school has of it."""
    bank = published(cast.teacher, bank_of("band-saw"))
    counting.add_counts(bank.pk, earlier_years(bank_of("band-saw"), 400, BEFORE, 1, natures))
    return bank


# ---- question quality ------------------------------------------------------------------------------------------------


def test_planted_wrong_key_is_found_and_a_hard_question_is_not(cast: Cast, page: Client) -> None:
    text = bank_of("band-saw")
    planted, hard = most_met(demo_bank(cast), text, 2)
    natures = {
        planted: Nature(difficulty=0.0, true_key="2", **USUAL),
        hard: Nature(difficulty=3.6, log_seconds=3.0, temptations=(0.9, 0.05, 0.05)),
    }
    bank = Bank.objects.get()
    forget(bank)
    # So many students that each of the bank's questions was met by about a hundred.
    counting.add_counts(bank.pk, earlier_years(text, 800, BEFORE, 1, natures))
    true = text.question_by_code[planted].wrong[1]  # type: ignore[attr-defined]
    assert f"Strong students pick “{true}” more often than the key." in words(page, f"/banks/{bank.pk}/figures/")
    assert "Correct the key" in words(page, f"/banks/{bank.pk}/questions/{planted}/figures/")
    shown = words(page, f"/banks/{bank.pk}/questions/{hard}/figures/")
    assert "The question is hard, not wrong." in shown
    assert "Correct the key" not in shown


def forget(bank: Bank) -> None:
    for rows in (bank.answer_counts, bank.rule_counts, bank.score_counts):
        rows.all().delete()


def test_bank_page_says_how_many_flags_may_be_chance(cast: Cast, page: Client) -> None:
    planted = next(question.code for question in bank_of("band-saw").questions if question.kind == "one")
    bank = demo_bank(cast, {planted: Nature(difficulty=0.0, true_key="2", **USUAL)})
    shown = words(page, f"/banks/{bank.pk}/figures/")
    assert "to look at.</b>" in shown
    assert "by chance." in shown
    assert "These do their work" in shown


def test_bank_page_without_first_tries_says_so(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher)
    assert "No first tries yet" in words(page, f"/banks/{bank.pk}/figures/")


def test_choices_are_hidden_below_five_students(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    for student in students(cast, 4):
        take(student, bank, wrong=["r1"])
    address = f"/banks/{bank.pk}/questions/r1-q0/figures/"
    assert "4 first tries so far." in words(page, address)
    assert "What students picked</h2>" not in words(page, address)
    take(EnrollmentFactory(section=cast.section).student, bank)
    shown = words(page, address)
    assert "What students picked" in shown
    assert "too few to say" in shown


def students(cast: Cast, count: int) -> list[Person]:
    extra_students = [EnrollmentFactory(section=cast.section).student for _ in range(count - 2)]
    return [cast.student, cast.classmate, *extra_students]


def test_bank_page_asks_as_many_queries_after_a_year_as_after_a_day(cast: Cast, page: Client) -> None:
    bank = demo_bank(cast)
    page.get(f"/banks/{bank.pk}/figures/")
    with CaptureQueriesContext(connection) as few:
        page.get(f"/banks/{bank.pk}/figures/")
    for month in range(1, 6):
        counting.add_counts(bank.pk, earlier_years(bank_of("band-saw"), 100, date(2024, month, 1), month))
    with CaptureQueriesContext(connection) as many:
        page.get(f"/banks/{bank.pk}/figures/")
    assert len(few) == len(many) <= 12


def test_figures_of_an_old_wording_are_not_mixed_with_the_new_one(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    for student in students(cast, 6):
        take(student, bank)
    correct_key(by=cast.teacher, bank=bank.pk, edition=1, question="r1-q0", key="1", reason="The manual.", at=AT)
    assert "No first tries yet." in words(page, f"/banks/{bank.pk}/questions/r1-q0/figures/")
    assert "6 first tries so far." in words(page, f"/banks/{bank.pk}/questions/r2-q0/figures/")


# ---- reteach ---------------------------------------------------------------------------------------------------------


def tried(cast: Cast, count: int, missing: int) -> Bank:
    """A class in which so many tried the quiz, and the first of them missed rule r1."""
    bank = published(cast.teacher, bank_text(rules=4, each=2, ask=4))
    for number, student in enumerate(students(cast, count)):
        take(student, bank, wrong=["r1"] if number < missing else [])
    return bank


def test_reteach_puts_the_rule_that_most_missed_first_and_checks_it(cast: Cast, page: Client) -> None:
    tried(cast, 10, 6)
    shown = words(page, f"/classes/{cast.section.pk}/reteach/")
    assert "Half of the class or more missed <b>“Keep rule number 1”</b> the first time." in shown
    assert "6 of 10 missed it<small>likely 3 to 8 in 10</small>" in shown
    assert 'value="r1" aria-label="In the warm-up: Keep rule number 1." checked' in shown
    assert "3 rules that landed" in shown


def test_reteach_of_few_students_says_so_and_checks_nothing(cast: Cast, page: Client) -> None:
    tried(cast, 7, 4)
    shown = words(page, f"/classes/{cast.section.pk}/reteach/")
    assert "too few to say" in shown
    assert " checked>" not in shown


def test_reteach_shows_no_group_under_five(cast: Cast, page: Client) -> None:
    tried(cast, 4, 2)
    shown = words(page, f"/classes/{cast.section.pk}/reteach/")
    assert "Too few first tries" in shown
    assert "missed it" not in shown


def test_reteach_without_first_tries_says_so(cast: Cast, page: Client) -> None:
    assert "No first tries yet" in words(page, f"/classes/{cast.section.pk}/reteach/")


def test_reteach_of_a_bank_that_no_student_tried_returns_404(cast: Cast, page: Client) -> None:
    tried(cast, 5, 1)
    other = published(cast.teacher, bank_text(code="lathe"))
    words(page, f"/classes/{cast.section.pk}/reteach/?bank={other.pk}", 404)


def test_reteach_of_the_school_adds_classes_up(cast: Cast, page: Client) -> None:
    bank = tried(cast, 10, 6)
    shown = words(page, f"/banks/{bank.pk}/reteach/")
    assert "6 of 10 missed it" in shown
    assert 'type="checkbox"' not in shown


# ---- the warm-up -----------------------------------------------------------------------------------------------------


def test_warm_up_asks_from_rule_cards_and_gives_no_quiz_question_away(cast: Cast, page: Client) -> None:
    bank = tried(cast, 10, 6)
    shown = words(page, f"/classes/{cast.section.pk}/warm-up/?bank={bank.pk}&rule=r1")
    assert "Set the ____ just above the wood." in shown
    assert "What does rule 1 say" not in shown


def test_warm_up_seats_a_student_who_missed_with_one_who_knew(cast: Cast, page: Client) -> None:
    bank = tried(cast, 10, 4)
    shown = words(page, f"/classes/{cast.section.pk}/warm-up/?bank={bank.pk}&rule=r1")
    assert shown.count("</b> with <b>") == 4


def test_warm_up_without_a_rule_leads_back(cast: Cast, page: Client) -> None:
    bank = tried(cast, 10, 6)
    response = page.get(f"/classes/{cast.section.pk}/warm-up/?bank={bank.pk}&rule=none-such")
    assert (response.status_code, response.headers["Location"]) == (302, f"/classes/{cast.section.pk}/reteach/")


def test_warm_up_pdf_has_pages_for_poster_questions_and_answers(cast: Cast, page: Client) -> None:
    bank = tried(cast, 10, 6)
    response = page.get(f"/classes/{cast.section.pk}/warm-up.pdf?bank={bank.pk}&rule=r1&rule=r2&rule=r3")
    assert len(pikepdf.open(BytesIO(response.content)).pages) == 3


# ---- correcting a key ------------------------------------------------------------------------------------------------


def test_correcting_shows_whom_it_concerns_before_anything_is_done(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    answering(cast.student, bank, {"r1-q0": 1})
    address = f"/banks/{bank.pk}/questions/r1-q0/correct-key/"
    shown = " ".join(page.post(address, {"key": "1", "step": "look"}).content.decode().split())
    assert "These students pass." in shown
    assert not Regrade.objects.exists()
    form = {"edition": 1, "key": "1", "reason": "The manual says so.", "step": "correct"}
    response = page.post(address, form, follow=True)
    assert "Key corrected in edition 2. 1 student passed by it." in response.content.decode()
    assert Edition.objects.filter(bank=bank).count() == 2


def test_both_results_say_that_the_key_was_corrected(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    original = answering(cast.student, bank, {"r1-q0": 1})
    correct_key(by=cast.teacher, bank=bank.pk, edition=1, question="r1-q0", key="1", reason="The manual.", at=AT + DAY)
    shown = words(page, f"/attempts/{original.pk}/void/")
    assert "because a key was corrected: The manual. The new result is shown beside this one." in shown
    regraded = Regrade.objects.get().attempt
    assert "The first result is kept." in words(page, f"/attempts/{regraded.pk}/void/")


def test_correcting_without_a_reason_is_refused(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    address = f"/banks/{bank.pk}/questions/r1-q0/correct-key/"
    response = page.post(address, {"edition": 1, "key": "1", "reason": "", "step": "correct"})
    assert response.status_code == 422
    assert "<title>Error:" in response.content.decode()
    assert Edition.objects.filter(bank=bank).count() == 1


def test_correcting_names_no_student_of_another_teacher(cast: Cast) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    answering(cast.student, bank, {"r1-q0": 1})
    other = Client()
    other.force_login(cast.other_teacher)
    shown = words(other, f"/banks/{bank.pk}/questions/r1-q0/correct-key/?key=1")
    assert "1 student of other teachers" in shown
    assert cast.student.given_name not in shown


# ---- figures of another school ---------------------------------------------------------------------------------------


def test_figures_of_another_school_are_added_once_and_name_no_student(cast: Cast, page: Client) -> None:
    own = published(cast.teacher, bank_text(rules=3, each=1, ask=3))
    for student in students(cast, 6):
        take(student, own, wrong=["r1"])
    file = page.get(f"/banks/{own.pk}/figures/file/")
    assert all(person.given_name not in file.content.decode() for person in students(cast, 2))
    other_client = Client()
    other_client.force_login(cast.stranger_teacher)
    other = published(cast.stranger_teacher, bank_text(rules=3, each=1, ask=3))
    address = f"/banks/{other.pk}/figures/add/"
    response = other_client.post(address, {"file": BytesIO(file.content)}, follow=True)
    assert "Figures of 6 first tries added." in response.content.decode()
    assert "6 first tries" in words(other_client, f"/banks/{other.pk}/questions/r1-q0/figures/")
    again = other_client.post(address, {"file": BytesIO(file.content)})
    assert "The figures of this file are in already." in again.content.decode()
    assert sum(counting.kept(other.pk).scores.values()) == 6


def test_a_bad_file_of_figures_is_refused_with_its_row(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher)
    response = page.post(f"/banks/{bank.pk}/figures/add/", {"file": BytesIO(b"{}")})
    assert response.status_code == 422
    assert "not a file of figures" in response.content.decode()


def test_quiz_settings_say_how_sure_a_perfect_quiz_makes(cast: Cast, page: Client) -> None:
    bank = published(cast.teacher, bank_text(rules=3, each=6, ask=10))
    shown = words(page, f"/banks/{bank.pk}/blueprint/")
    assert "the chance is 69 in 100 that a student knows at least 9 in 10" in shown  # 1 − .9^11 = .686
    assert "Assumed: fewer than 200 first attempts" in shown
    counting.add_counts(bank.pk, earlier_years(bank_text(rules=3, each=6, ask=10), 300, BEFORE, 1))
    assert "Measured on 300 first tries of this bank." in words(page, f"/banks/{bank.pk}/blueprint/")
