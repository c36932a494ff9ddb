"""A question as it stands on paper: letters to mark, blanks to fill; what a teacher enters from it; and its key."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from string import ascii_uppercase

from quizzes.facts import AT_MOST, EditionText, FormQuestion, Measure, Order, Value
from quizzes.questions import model_answers
from quizzes.questions.answering import Response, read_response
from quizzes.questions.showing import QuestionView, answer_in_words, show

HOW = {
    "one": "Mark one letter.",
    "several": "Mark every letter that applies.",
    "order": "Write the step before each item. 1 is first.",
    "pair": "Write the letter of the match before each item.",
    "spot": "Find the place in the picture. Mark its letter.",
    "measure": "Write the number on the line.",
}


def lettered(asked: QuestionView) -> QuestionView:
    """The question with a letter before each option, in the order in which they stand."""
    options = zip(asked.options, ascii_uppercase, strict=False)
    return replace(asked, options=tuple(replace(option, letter=letter) for option, letter in options))


def sent_of(posted: Mapping[str, Sequence[str]]) -> dict[int, dict[str, Sequence[str]]]:
    """The number of a question → what was sent for it, from the fields of a whole sheet: q3-answer is of question 3."""
    sent_by_number: dict[int, dict[str, Sequence[str]]] = {}
    for name, values in posted.items():
        number, _, rest = name.removeprefix("q").partition("-")
        if name.startswith("q") and rest and number.isascii() and number.isdigit() and len(number) < 5:
            sent_by_number.setdefault(int(number), {})[rest] = [value for value in values if value]
    return sent_by_number


@dataclass(frozen=True, kw_only=True)
class PaperKey:
    """The right answer of one question, as it would be written on the sheet."""

    number: int
    asks: str
    lines: tuple[str, ...]
    note: str = ""


def key_of(edition: EditionText, line: FormQuestion, number: int) -> PaperKey:
    """For the teacher's own sheet: never printed with the questions."""
    question = edition.bank.question_by_code[line.code]
    asked = lettered(show(edition, line, number))
    right = read_response(line, model_answers.right_answer(question, line, edition.bank.value_by_code))
    note = ""
    if isinstance(question, Measure):
        note = _bounds(edition.bank.value_by_code[question.value], question)
    elif isinstance(question, Order) and question.may_swap:
        groups = [" and ".join(map(str, swap)) for swap in question.may_swap]
        note = f"Steps {', '.join(groups)} may change places."
    return PaperKey(number=number, asks=asked.asks, lines=tuple(_short(asked, right)), note=note)


def _bounds(value: Value, question: Measure) -> str:
    """What else is right beside the key itself."""
    if value.bound:
        return "Less is right too." if value.bound == AT_MOST else "More is right too."
    return f"Up to {question.tolerance} {value.unit} more or less." if question.tolerance != "0" else ""


def _short(asked: QuestionView, right: Response | None) -> list[str]:
    """As in_words, and an order also by its items from the top, as it is marked."""
    lines = answer_in_words(asked, right)
    if asked.kind == "order" and right:
        lines.insert(0, ", ".join(f"{option.letter} {right['steps'][option.id]}" for option in asked.options))
    return lines
