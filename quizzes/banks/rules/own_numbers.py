"""A shop's own number in place of a bank's: the bank with it, and what else in the bank names the old one."""

import re
from collections.abc import Iterator
from dataclasses import replace

from quizzes.banks.rules.editing import put_value
from quizzes.facts import BankText, Value, option_texts, pair_left_texts
from quizzes.questions.lengths import SPOKEN, UNITS, Quantity, Unreadable, read_amount

TIMES = 10  # our choice: what is typed in another unit is off by 10 (mm, cm), 12 (in, ft), 25.4 (mm, in) or 60

FIGURES = r"\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?"
NAMES = "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True))
FOUND = re.compile(rf"(?<![\w/.])({FIGURES})[ -]?({NAMES})(?!\w)", re.IGNORECASE)


def with_own_number(bank: BankText, code: str, *, amount: str, source: str, note: str) -> BankText:
    """The bank with the shop's own amount of a stored value, in the unit it has. Raises KeyError, Unreadable."""
    value = bank.value_by_code[code]
    read_amount(amount)
    return put_value(bank, replace(value, amount=amount.strip(), source=source.strip(), note=note.strip()))


def unlikely_number(first: Value, amount: str, unit: str) -> str:
    """Why an amount can't be the shop's own in place of the bank's `first`: a sentence, or "" where it can.

    Numbers like these keep fingers from a blade, so a slip of the unit must not go out. Raises Unreadable.
    """
    own, bank = Quantity(read_amount(amount), unit), Quantity(read_amount(first.amount), first.unit)
    if own.base <= 0:
        return "The number must be more than 0."
    if bank.base <= 0 or own.dimension != bank.dimension or bank.base / TIMES < own.base < bank.base * TIMES:
        return ""
    off = "ten times that, or more" if own.base > bank.base else "a tenth of that, or less"
    return (
        f"The bank had {first.amount} {first.unit}; {amount.strip()} {unit} is {off}. Check the unit: the number is "
        f"in {SPOKEN.get(unit, unit)}. If it is right, change it in the draft of the bank and read all of it over."
    )


def other_mentions(bank: BankText, code: str) -> tuple[str, ...]:
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
        yield from pair_left_texts(question)
