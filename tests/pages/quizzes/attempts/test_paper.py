"""The pages of a quiz on paper: made, printed, entered, checked, handed in; and the sheets themselves."""

import pytest
from django.test import Client
from django.urls import reverse

from quizzes.attempts.acts import start_on_paper
from quizzes.attempts.paper.sheets import key_pdf, quiz_pdf
from quizzes.banks.editions.texts import text_of
from quizzes.models import Attempt, Bank
from quizzes.questions.form_data import lines_of
from shopsafe.school.people.acts.accommodations import give_accommodations
from shopsafe.school.reading.accommodations import Accommodations
from tests.cast import Cast
from tests.counting import queries
from tests.factories.bank_texts import a_bank, every_kind
from tests.factories.banks import AT, key_for
from tests.factories.machines import Floor, KindFactory
from tests.pages.quizzes.attempts.test_no_leak import SEED, banks_of, keyed
from tests.paper import looking


@pytest.fixture
def all_kinds(cast: Cast) -> Bank:
    return keyed(cast.teacher, a_bank(code="six-kinds", subject="Six kinds"))


@pytest.fixture
def sheet(cast: Cast, all_kinds: Bank) -> Attempt:
    return start_on_paper(student=cast.student, bank=all_kinds.pk, by=cast.teacher, at=AT)


@pytest.fixture
def short(cast: Cast) -> Attempt:
    """A sheet of one question, with a picture."""
    spot = [question for question in every_kind() if question.code == "q-spot"]
    bank = keyed(cast.teacher, a_bank(code="one-kind", questions=tuple(spot), values=(), ask=1))
    return start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=AT)


def marks(sheet: Attempt) -> dict[str, list[str]]:
    """Every right answer, in the fields of the page."""
    return {
        f"q{number}-{name}": values
        for number, line in enumerate(lines_of(sheet.form), 1)
        for name, values in key_for(line).items()
    }


def test_a_teacher_makes_a_sheet_and_finds_it_again(cast: Cast, teacher: Client, all_kinds: Bank) -> None:
    page = reverse("paper-quizzes")
    assert "No sheet is out." in teacher.get(page).content.decode()
    assert f'value="{cast.student.pk}" selected' in teacher.get(f"{page}?student={cast.student.pk}").content.decode()
    response = teacher.post(page, {"student": cast.student.pk, "bank": all_kinds.pk})
    attempt = Attempt.objects.get()
    assert response.headers["Location"] == reverse("paper-quiz", args=[attempt.pk])
    assert attempt.paper_code in teacher.get(page).content.decode()


def test_quizzes_of_the_teachers_machines_come_first(client: Client, floor: Floor) -> None:
    other = keyed(floor.cast.teacher, a_bank(code="lathe", subject="A lathe"))
    KindFactory(school=floor.cast.school, bank=other)
    client.force_login(floor.cast.teacher)
    page = client.get(reverse("paper-quizzes")).content.decode()
    own, others = page.split('<optgroup label="In your own shop">')[1].split("Not in your own shop")
    assert f'value="{floor.saw_bank.pk}"' in own
    assert f'value="{floor.general.pk}"' in own
    assert f'value="{other.pk}"' in others


def test_student_of_another_school_cannot_be_chosen(cast: Cast, teacher: Client, all_kinds: Bank) -> None:
    response = teacher.post(reverse("paper-quizzes"), {"student": cast.stranger_student.pk, "bank": all_kinds.pk})
    assert response.status_code == 422
    assert not Attempt.objects.exists()


def test_quiz_begun_on_a_screen_is_refused_with_the_reason(
    cast: Cast, teacher: Client, all_kinds: Bank, as_person
) -> None:  # type: ignore[no-untyped-def]
    as_person(cast.student).post(reverse("attempt-start", args=[all_kinds.pk]))
    response = teacher.post(reverse("paper-quizzes"), {"student": cast.student.pk, "bank": all_kinds.pk})
    assert response.status_code == 409
    assert "has begun this quiz on a screen" in response.content.decode()


def test_it_is_entered_checked_and_handed_in(teacher: Client, sheet: Attempt) -> None:
    entering = reverse("paper-quiz-enter", args=[sheet.pk])
    assert teacher.get(entering).content.decode().count("<fieldset") == 6
    page = teacher.post(entering, marks(sheet), follow=True).content.decode()
    assert "As it was entered" in page
    assert "Left blank" not in page
    assert sheet.answers.count() == 6
    again = teacher.get(entering).content.decode()
    assert again.count(" selected") == 4 + 2
    response = teacher.post(reverse("paper-quiz-hand-in", args=[sheet.pk]), follow=True)
    assert "every answer was right." in response.content.decode()
    assert Attempt.objects.get().perfect
    assert teacher.get(entering).headers["Location"] == reverse("paper-quiz", args=[sheet.pk])


def test_blank_answer_is_shown_before_hand_in(teacher: Client, sheet: Attempt) -> None:
    sent = {name: values for name, values in marks(sheet).items() if not name.startswith("q1-")}
    page = teacher.post(reverse("paper-quiz-enter", args=[sheet.pk]), sent, follow=True).content.decode()
    assert page.count("Left blank") == 1
    response = teacher.post(reverse("paper-quiz-hand-in", args=[sheet.pk]), follow=True)
    assert "1 rule to learn again." in response.content.decode()


def test_a_sheet_that_is_all_blank_is_not_handed_in_by_mistake(teacher: Client, sheet: Attempt) -> None:
    page = teacher.post(reverse("paper-quiz-enter", args=[sheet.pk]), {}, follow=True).content.decode()
    assert "Nothing was entered." in page
    assert "Hand in for" not in page


def test_student_pages_say_that_the_quiz_is_on_paper(cast: Cast, student: Client, sheet: Attempt) -> None:
    assert "You have this quiz on paper." in student.get(reverse("quizzes")).content.decode()
    for name, extra_args in (("attempt-check", []), ("attempt-question", [1])):
        response = student.get(reverse(name, args=[sheet.pk, *extra_args]))
        assert response.status_code == 409
        assert "Write on the sheet." in response.content.decode()
    for name in ("paper-quiz", "paper-quiz-sheet", "paper-quiz-key", "paper-quiz-enter"):
        assert student.get(reverse(name, args=[sheet.pk])).status_code == 404


def test_a_key_is_a_file_of_its_own(teacher: Client, sheet: Attempt) -> None:
    quiz, key = (teacher.get(reverse(name, args=[sheet.pk])) for name in ("paper-quiz-sheet", "paper-quiz-key"))
    for response, name in ((quiz, "Quiz"), (key, "Key")):
        assert response.headers["Content-Type"] == "application/pdf"
        assert f"{name}-{sheet.paper_code}.pdf" in response.headers["Content-Disposition"]
    key_text = looking.text(key.content)
    assert "For the teacher alone." in key_text
    assert "Up to 1/64 in more or less." in key_text


@pytest.mark.parametrize(("asked", "wide"), [("", 215.9), ("a4", 210.0), ("nonsense", 215.9)])
def test_it_comes_on_letter_or_a4(teacher: Client, short: Attempt, asked: str, wide: float) -> None:
    for name in ("paper-quiz-sheet", "paper-quiz-key"):
        pdf = teacher.get(reverse(name, args=[short.pk]), {"paper": asked}).content
        assert looking.page_sizes(pdf)[0][0] == pytest.approx(wide, abs=0.1)


def test_the_list_takes_as_few_queries_for_many_as_for_one(cast: Cast, teacher: Client, sheet: Attempt) -> None:
    page = reverse("paper-quizzes")
    teacher.get(page)
    with queries() as first_queries:
        teacher.get(page)
    for number in range(3):
        other = keyed(cast.teacher, a_bank(code=f"more-{number}"))
        start_on_paper(student=cast.classmate, bank=other.pk, by=cast.teacher, at=AT)
    with queries() as later_queries:
        teacher.get(page)
    assert len(first_queries) == len(later_queries)


def test_the_sheet_holds_name_code_and_every_question(cast: Cast, sheet: Attempt) -> None:
    pdf = quiz_pdf(sheet)
    sheet_text = looking.text(pdf)
    text = text_of(sheet.edition).bank
    for page in range(len(looking.page_sizes(pdf))):
        words = " ".join(word.text for word in looking.words(pdf, page))
        assert sheet.paper_code in words
        assert cast.student.name in words
    for question in text.questions:
        assert question.asks in sheet_text
    for phrase in ("Safety glasses", "Tell the teacher", "inches", "It lets you use no machine."):
        assert phrase in sheet_text
    assert "1/8" not in sheet_text


def test_the_sheet_is_the_same_whichever_option_is_right(cast: Cast) -> None:
    sheet_texts = []
    for bank in banks_of(cast.teacher):
        attempt = start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=AT, seed=SEED)
        sheet_texts.append(looking.text(quiz_pdf(attempt)).replace(attempt.paper_code, "CODE"))
    assert sheet_texts[0] == sheet_texts[1]


def test_accommodations_hold_on_paper(cast: Cast, short: Attempt) -> None:
    plain = size_of_text(quiz_pdf(short))
    for accommodations in (Accommodations(size="largest"), Accommodations(described=True)):
        give_accommodations(student=cast.student, given=accommodations, by=cast.teacher, at=AT)
        short.student.refresh_from_db()
        if accommodations.described:
            assert "A saw seen from the front: blade, table, wheel." in looking.text(quiz_pdf(short))
        else:
            assert size_of_text(quiz_pdf(short)) == pytest.approx(1.5 * plain, rel=0.01)


def size_of_text(pdf: bytes) -> float:
    """How large "Take your time." is set, in millimeters."""
    return next(word.size for word in looking.words(pdf) if word.text == "Take")


def test_the_key_needs_no_picture(sheet: Attempt) -> None:
    assert "In line with the blade" in looking.text(key_pdf(sheet))


def test_code_and_page_stand_where_printers_print(sheet: Attempt) -> None:
    assert looking.white_edge(quiz_pdf(sheet)) >= looking.NOT_PRINTED
    assert looking.white_edge(key_pdf(sheet)) >= looking.NOT_PRINTED
