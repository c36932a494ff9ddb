"""What the logbook says of quizzes on paper and of accommodations."""

from quizzes.logbook_words import WORDS
from shopsafe.school.logbook_words import WORDS as SCHOOL

STUDENT, TEACHER = {"id": 1, "name": "Inga Vale"}, {"id": 2, "name": "Odile Ferrant"}
QUIZ = {"student": STUDENT, "bank": {"id": 3, "name": "Band saw"}, "edition": {"id": 4, "name": "2"}}
SHEET = QUIZ | {"by": TEACHER, "on_paper": "7K3D-Q2", "asked": 10, "correct": 9, "missed_rules": [{}]}


def test_printed_quiz_is_recorded_with_its_code_and_teacher() -> None:
    sentence = WORDS["attempt.printed"].says(SHEET)
    assert sentence == "Inga Vale gets the Band saw quiz, edition 2, code 7K3D-Q2, from Odile Ferrant"


def test_paper_answers_are_recorded_with_the_entering_teacher() -> None:
    on_paper = ", on paper 7K3D-Q2, entered by Odile Ferrant"
    assert WORDS["attempt.passed"].says(SHEET).endswith(f"9 of 10 right{on_paper}")
    assert WORDS["attempt.missed"].says(SHEET).endswith(f"1 rule to learn again{on_paper}")
    assert WORDS["attempt.practiced"].says(SHEET).endswith(f"9 of 10 right{on_paper}. It counts for nothing")


def test_a_quiz_on_a_screen_says_nothing_of_paper() -> None:
    on_screen = {name: value for name, value in SHEET.items() if name not in ("by", "on_paper")}
    assert WORDS["attempt.passed"].says(on_screen) == "Inga Vale in the Band saw quiz, edition 2, 9 of 10 right"


def test_accommodations_are_recorded_in_words() -> None:
    payload = {"student": STUDENT, "by": TEACHER, "given": ["Read aloud", "Larger type"]}
    says = SCHOOL["accommodation.given"].says
    assert says(payload) == "Inga Vale: Read aloud, Larger type. Given by Odile Ferrant"
    assert says(payload | {"given": []}) == "Inga Vale: none from now on. Given by Odile Ferrant"
