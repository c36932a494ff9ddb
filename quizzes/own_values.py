"""A shop's own number in place of a bank's: the bank with it, and what else in the bank names the old one."""

import re
from collections.abc import Iterator
from dataclasses import replace

from quizzes.editing import put_value
from quizzes.facts import BankText, Value, left_texts, option_texts
from quizzes.lengths import UNITS, Quantity, Unreadable, read_amount

FIGURES = r"\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?"
NAMES = "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True))
FOUND = re.compile(rf"(?<![\w/.])({FIGURES})[ -]?({NAMES})(?!\w)", re.IGNORECASE)


def with_own(bank: BankText, code: str, *, amount: str, source: str, note: str) -> BankText:
    """The bank with the shop's own amount of a stored value, in the unit it has. Raises KeyError, Unreadable."""
    value = bank.value_by_code[code]
    read_amount(amount)
    return put_value(bank, replace(value, amount=amount.strip(), source=source.strip(), note=note.strip()))


def named_elsewhere(bank: BankText, code: str) -> tuple[str, ...]:
    """The texts of live rules and questions that name the same amount as the stored value, in figures.

    They may mean the same thing: then they are changed in the draft, so that no two numbers stand for one.
    """
    value = bank.value_by_code[code]
    return tuple(dict.fromkeys(text for text in texts(bank) if names_amount(text, value)))


def names_amount(text: str, value: Value) -> bool:
    wanted = Quantity(read_amount(value.amount), value.unit)
    return any((one.dimension, one.base) == (wanted.dimension, wanted.base) for one in quantities(text))


def quantities(text: str) -> Iterator[Quantity]:
    for figures, name in FOUND.findall(text):
        try:
            yield Quantity(read_amount(figures), UNITS[name.casefold()])
        except Unreadable:  # 1/0 in
            continue


def texts(bank: BankText) -> Iterator[str]:
    """What students read of live rules and questions."""
    for rule in bank.live_rules:
        yield rule.says
        yield rule.why
    for question in bank.live_questions:
        yield question.asks
        yield from option_texts(question)
        yield from left_texts(question)
