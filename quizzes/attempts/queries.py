"""The answers of one attempt as they are shown, question by question; and what others were asked in the hour before."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta

from quizzes.banks.editions.texts import text_of
from quizzes.facts import EditionText, FormQuestion
from quizzes.models import Answer, Attempt
from quizzes.questions.answering import Response, missing
from quizzes.questions.form_data import lines_of
from quizzes.questions.showing import QuestionView, answer_in_words, filled, show
from shopsafe.school.models import Person

HOUR = timedelta(hours=1)


def asked_nearby(student: Person, bank: int, at: datetime) -> Counter[str]:
    """Question → on how many forms of other students it stands that were begun in the hour before. One query.

    A void attempt counts too: its student has read it.
    """
    attempts = Attempt.objects.filter(school=student.school_id, bank=bank, started_at__gt=at - HOUR)
    forms = attempts.exclude(student=student).values_list("form__lines", flat=True)
    return Counter(line["code"] for lines in forms for line in lines)


@dataclass(frozen=True, kw_only=True)
class QuestionAnswer:
    """One question of an attempt as its student sees it, with the answer saved so far."""

    asked: QuestionView
    response: Response | None
    revision: int
    lacks: str  # what is missing to hand it in

    @property
    def in_words(self) -> list[str]:
        return answer_in_words(self.asked, self.response)


def question_answers(attempt: Attempt, language: str = "") -> list[QuestionAnswer]:
    """Every question of the attempt, in the order of its form, in this language where the bank has it. One query."""
    edition = text_of(attempt.edition, language)
    saved = {answer.question: answer for answer in attempt.answers.all()}
    return [
        _question_answer(edition, line, number, saved.get(line.code))
        for number, line in enumerate(lines_of(attempt.form), 1)
    ]


def _question_answer(edition: EditionText, line: FormQuestion, number: int, answer: Answer | None) -> QuestionAnswer:
    response = answer.response if answer else None
    asked = show(edition, line, number)
    return QuestionAnswer(
        asked=filled(asked, response),
        response=response,
        revision=answer.revision if answer else 0,
        lacks=missing(line, response, asked.unit),
    )
