"""A question tried by a teacher as a student meets it. Nothing is recorded, and the draw is always the same."""

import random
from dataclasses import dataclass

from quizzes.facts import EditionText, FormQuestion
from quizzes.questions.answering import PRESS, NotOnForm, Response, Sent, answer_of, missing, read_response
from quizzes.questions.assembly import form_question
from quizzes.questions.grading import is_right
from quizzes.questions.showing import QuestionView, filled, show


@dataclass(frozen=True)
class TrialResult:
    asked: QuestionView
    problem: str = ""  # what is missing in the answer, as a student reads it
    right: bool | None = None  # None while nothing was answered


def look_at(text: EditionText, code: str) -> TrialResult:
    return TrialResult(show(text, _line(text, code), 1))


def try_out(text: EditionText, code: str, sent: Sent) -> TrialResult:
    """The question with the answer that was sent, and whether it is right."""
    line = _line(text, code)
    asked = show(text, line, 1)
    try:
        response: Response | None = read_response(line, sent)
    except NotOnForm:
        response = None
    asked = filled(asked, response)
    if PRESS in sent:
        return TrialResult(asked)  # one step of an order, on a page without scripts: nothing to judge yet
    problem = missing(line, response, asked.unit)
    if problem:
        return TrialResult(asked, problem)
    question = text.bank.question_by_code[code]
    return TrialResult(asked, right=is_right(question, answer_of(line, response), text.bank.value_by_code))


def _line(text: EditionText, code: str) -> FormQuestion:
    return form_question(text.bank.question_by_code[code], random.Random(code))  # noqa: S311  an order to look at, no secret
