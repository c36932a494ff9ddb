"""A correction line by line, as a teacher compares it: what the school has now and what the corrected bank has."""

from collections.abc import Iterator
from dataclasses import dataclass

from quizzes.banks.corrections.rules import RuleCorrection
from quizzes.banks.rules.changes import GONE
from quizzes.facts import AllThatApply, BankText, Measure, OneAnswer, Order, Pair, Question, Rule, Spot, Value


@dataclass(frozen=True)
class ComparedLine:
    """`before` is empty for what is new, `after` for what is left out."""

    what: str
    before: str
    after: str


def compared(correction: RuleCorrection, shop: BankText, new: BankText) -> Iterator[ComparedLine]:
    for change in correction.differences:
        before, after = _text(change.what, change.code, shop), _text(change.what, change.code, new)
        if change.how == GONE:
            after = ""
        if before != after:
            yield ComparedLine(change.what, before, after)
        elif not before:  # a picture, a list, the quiz: told in a sentence
            yield ComparedLine(change.what, "", change.says)


def _text(what: str, code: str, bank: BankText) -> str:
    match what:
        case "rule":
            return _rule(bank.rule_by_code.get(code))
        case "question":
            return _question(bank.question_by_code.get(code), bank)
        case "stored value":
            return _value(bank.value_by_code.get(code))
    return ""


def _rule(rule: Rule | None) -> str:
    if rule is None or rule.retired:
        return ""
    recall = f" Study card: {rule.recall.text} ({', '.join(rule.recall.key)})" if rule.recall else ""
    every = " Asked every time." if rule.must_ask else ""
    return f"{rule.says} {rule.why} Source: {rule.source}.{every}{recall}"


def _value(value: Value | None) -> str:
    if value is None:
        return ""
    bound = f" ({value.bound})" if value.bound else ""
    return f"{value.says}: {value.reads}{bound}. Source: {value.source}. {value.note}".strip()


def _question(question: Question | None, bank: BankText) -> str:
    if question is None or question.retired:
        return ""
    return f"{question.asks} Right: {right_answer(question, bank)}."


def right_answer(question: Question, bank: BankText) -> str:
    """The key in words."""
    match question:
        case OneAnswer():
            return question.right
        case AllThatApply():
            return "; ".join(question.right)
        case Order():
            return "; then ".join(question.steps)
        case Pair():
            return "; ".join(f"{left}: {right}" for left, right in question.pairs)
        case Spot():
            return question.places[question.right - 1].says
        case Measure():
            value = bank.value_by_code[question.value]
            return f"{value.key(question.row)} {value.unit}"
    raise TypeError(f"no key to {question!r}")
