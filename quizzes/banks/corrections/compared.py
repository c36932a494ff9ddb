"""A correction line by line, as a teacher compares it: what the school has now and what the corrected bank has."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from quizzes.banks.corrections.rules import RuleCorrection
from quizzes.banks.rules.changes import ChangedItem, HowChanged
from quizzes.facts import AllThatApply, BankText, Measure, OneAnswer, Order, Pair, Question, Rule, Spot, Value
from shopsafe.language.messages import _


@dataclass(frozen=True)
class ComparedLine:
    """`before` is empty for what is new, `after` for what is left out."""

    what: str
    before: str
    after: str


def compared(correction: RuleCorrection, shop: BankText, new: BankText) -> Iterator[ComparedLine]:
    for change in correction.differences:
        before, after = _text(change.what, change.code, shop), _text(change.what, change.code, new)
        if change.how is HowChanged.GONE:
            after = ""
        if before != after:
            yield ComparedLine(change.what.words, before, after)
        elif not before:  # a picture, a list, the quiz: described in a sentence
            yield ComparedLine(change.what.words, "", change.says)


def _text(what: ChangedItem, code: str, bank: BankText) -> str:
    match what:
        case ChangedItem.RULE:
            return _rule(bank.rule_by_code.get(code))
        case ChangedItem.QUESTION:
            return _question(bank.question_by_code.get(code), bank)
        case ChangedItem.VALUE:
            return _value(bank.value_by_code.get(code))
        case ChangedItem.BANK | ChangedItem.BLUEPRINT | ChangedItem.PICTURE | ChangedItem.MACHINE:
            return ""
    assert_never(what)


def _rule(rule: Rule | None) -> str:
    if rule is None or rule.retired:
        return ""
    parts = [rule.says, rule.why, _("Source: {source}.", source=rule.source)]
    if rule.must_ask:
        parts.append(_("Asked every time."))
    if rule.recall:
        parts.append(_("Study card: {text} ({words})", text=rule.recall.text, words=", ".join(rule.recall.key)))
    return " ".join(parts)


def _value(value: Value | None) -> str:
    if value is None:
        return ""
    bound = f" ({_(value.bound)})" if value.bound else ""
    source = _("Source: {source}.", source=value.source)
    return f"{value.says}: {value.reads}{bound}. {source} {value.note}".strip()


def _question(question: Question | None, bank: BankText) -> str:
    if question is None or question.retired:
        return ""
    return _("{question} Right: {answer}.", question=question.asks, answer=right_answer(question, bank))


def right_answer(question: Question, bank: BankText) -> str:
    """The key in words."""
    match question:
        case OneAnswer():
            return question.right
        case AllThatApply():
            return "; ".join(question.right)
        case Order():
            first, *others = question.steps
            for step in others:
                first = _("{steps}; then {step}", steps=first, step=step)
            return first
        case Pair():
            return "; ".join(f"{left}: {right}" for left, right in question.pairs)
        case Spot():
            return question.places[question.right - 1].says
        case Measure():
            value = bank.value_by_code[question.value]
            return f"{value.key(question.row)} {value.unit}"
        case _:
            assert_never(question)
