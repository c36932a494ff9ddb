"""A question as it is on paper: letters to mark, blanks to fill; what a teacher enters from it; and its key."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from string import ascii_uppercase

from quizzes.facts import AT_MOST, EditionText, FormQuestion, Measure, Order, Value
from quizzes.questions import model_answers
from quizzes.questions.answering import Response, read_response
from quizzes.questions.showing import QuestionView, answer_in_words, show
from shopsafe.language.lists import listed
from shopsafe.language.messages import _, marked

HOW = {
    "one": marked("Mark one letter."),
    "several": marked("Mark every letter that applies."),
    "order": marked("Write the step before each item. 1 is first."),
    "pair": marked("Write the letter of the match before each item."),
    "spot": marked("Find the place in the picture. Mark its letter."),
    "measure": marked("Write the number on the line."),
}


def lettered(asked: QuestionView) -> QuestionView:
    """The question with a letter before each option, in the order in which they stand."""
    options = zip(asked.options, ascii_uppercase, strict=False)
    return replace(asked, options=tuple(replace(option, letter=letter) for option, letter in options))


def sent_of(posted: Mapping[str, Sequence[str]]) -> dict[int, dict[str, Sequence[str]]]:
    """The number of a question → what was sent for it, from the fields of a whole sheet: q3-answer is of question 3."""
    sent_by_number: dict[int, dict[str, Sequence[str]]] = {}
    for name, values in posted.items():
        number, _dash, rest = name.removeprefix("q").partition("-")
        if name.startswith("q") and rest and number.isascii() and number.isdigit() and len(number) < 5:
            sent_by_number.setdefault(int(number), {})[rest] = [value for value in values if value]
    return sent_by_number


@dataclass(frozen=True, kw_only=True)
class PaperKey:
    """The right answer of one question: `mark` as it is on the sheet, to compare at a glance; `lines` in words."""

    number: int
    asks: str
    mark: str
    lines: tuple[str, ...]
    note: str = ""

    @property
    def said(self) -> str:
        """The words, where they are not the mark itself."""
        return "" if self.lines == (self.mark,) else "; ".join(self.lines)


def key_of(edition: EditionText, line: FormQuestion, number: int) -> PaperKey:
    """For the teacher's own sheet: never printed with the questions."""
    question = edition.bank.question_by_code[line.code]
    asked = lettered(show(edition, line, number))
    right = read_response(line, model_answers.right_answer(question, line, edition.bank.value_by_code))
    note = ""
    if isinstance(question, Measure):
        note = _bounds(edition.bank.value_by_code[question.value], question)
    elif isinstance(question, Order) and question.may_swap:
        note = swapping_steps(question.may_swap)
    lines = tuple(answer_in_words(asked, right))
    return PaperKey(
        number=number, asks=asked.asks, mark=_mark(asked, right) or "; ".join(lines), lines=lines, note=note
    )


def swapping_steps(groups: Sequence[Sequence[int]]) -> str:
    """Which steps of an order question may change places."""
    shown = ", ".join(listed(group) for group in groups)
    return _("Steps {steps} may change places.", steps=shown)


def _bounds(value: Value, question: Measure) -> str:
    """What else is right beside the key itself."""
    if value.bound:
        return _("Less is right too.") if value.bound == AT_MOST else _("More is right too.")
    return (
        _("Up to {tolerance} {unit} more or less.", tolerance=question.tolerance, unit=value.unit)
        if question.tolerance != "0"
        else ""
    )


def _mark(asked: QuestionView, right: Response | None) -> str:
    """What is on the sheet from the top: "C", "A, D", or for items to order and to pair what each blank holds."""
    if right is None:
        return ""
    if asked.kind == "order":
        return ", ".join(str(right["steps"][option.id]) for option in asked.options)
    letters = {option.id: option.letter for option in asked.options}
    if asked.kind == "pair":
        return ", ".join(letters[right["pairs"][left.id]] for left in asked.lefts)
    chosen = right.get("chosen") or ([right["answer"]] if right.get("answer") in letters else [])
    return ", ".join(letters[option.id] for option in asked.options if option.id in chosen)
