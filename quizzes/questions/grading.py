"""Grades exactly: right or not, nothing in between. A form is perfect only when every answer is right."""

from collections.abc import Mapping, Sequence
from typing import assert_never

from quizzes.facts import AllThatApply, Answer, BankText, Graded, Measure, OneAnswer, Order, Pair, Question, Spot, Value
from quizzes.questions.lengths import Quantity, Unreadable, meets, read_amount, read_quantity


def is_right(question: Question, answer: Answer, values: Mapping[str, Value]) -> bool:
    """Whether `answer` (places in the bank, see facts.Answer) is the key. Not answered is not right."""
    match question:
        case OneAnswer():
            return _is_place(answer) and answer == 0
        case AllThatApply():
            return isinstance(answer, frozenset) and answer == frozenset(range(len(question.right)))
        case Order():
            return isinstance(answer, tuple) and _is_order(answer, question)
        case Pair():
            return isinstance(answer, tuple) and answer == tuple(range(len(question.pairs)))
        case Spot():
            return _is_place(answer) and answer == question.right - 1
        case Measure():
            return isinstance(answer, str) and _measures(answer, values[question.value], question)
        case _:
            assert_never(question)


def _is_place(answer: Answer) -> bool:
    return isinstance(answer, int) and not isinstance(answer, bool)


def _is_order(answer: tuple[int, ...], question: Order) -> bool:
    """Each item is in its own place, or in one that it may change places with; each item once."""
    count = len(question.steps)
    if sorted(answer) != list(range(count)):
        return False
    group = {place: place for place in range(count)}
    for swap in question.may_swap:
        group.update({place - 1: swap[0] - 1 for place in swap})
    return all(group[item] == group[place] for place, item in enumerate(answer))


def _measures(text: str, value: Value, question: Measure) -> bool:
    try:
        answer = read_quantity(text, value.unit)
    except Unreadable:
        return False
    limit = Quantity(read_amount(value.key(question.row)), value.unit)
    return meets(answer, limit, value.bound, read_amount(question.tolerance))


def grade(bank: BankText, answers: Sequence[tuple[str, Answer]]) -> Graded:
    """Grade a whole form: (question code, answer) for each question on it."""
    wrong = tuple(
        code for code, answer in answers if not is_right(bank.question_by_code[code], answer, bank.value_by_code)
    )
    missed = {bank.question_by_code[code].rule for code in wrong}
    return Graded(
        asked=len(answers),
        correct=len(answers) - len(wrong),
        missed_rules=tuple(rule.code for rule in bank.rules if rule.code in missed),
        missed_questions=wrong,
    )
