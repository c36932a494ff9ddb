"""In which language a student reads a rule or a question."""

from quizzes.facts import BankText, Question, Rule
from quizzes.questions.translating import language_used
from shopsafe.school.models import Person
from shopsafe.school.reading.accommodations import language_name


def reading_context(student: Person, bank: BankText, item: Rule | Question) -> dict[str, object]:
    """Return what the page of a rule or question shows of its language: the student's accommodations, the language of
    the text, and its name where that is not the language the student was given."""
    accommodations = student.given
    language = language_used(bank, item, accommodations.language)
    only_in = language_name(language) if accommodations.language not in ("", language) else ""
    return {"given": accommodations, "language": language, "only_in": only_in}
