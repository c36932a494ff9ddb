"""A shop's own number in place of a bank's: the bank with it, and what else in the bank names the old one."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from quizzes.banks.rules.editing import put_value
from quizzes.facts import BankText, Value, option_texts, pair_left_texts
from quizzes.questions.lengths import LENGTHS, SLIP, UNITS, Quantity, Unreadable, read_amount, spoken_unit
from shopsafe.language.messages import _, marked

FIGURES = r"\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?"
NAMES = "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True))
FOUND = re.compile(rf"(?<![\w/.])({FIGURES})[ -]?({NAMES})(?!\w)", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class OwnNumber:
    """What a teacher sets: one amount, or one for each row of a table, in this unit."""

    amounts: tuple[str, ...]
    unit: str
    source: str
    note: str = ""


def units_for(value: Value) -> tuple[str, ...]:
    """The units in which a shop may set the value: a length in any unit of length, all else in the unit it has."""
    return tuple(LENGTHS) if value.unit in LENGTHS else (value.unit,)


def with_own_number(bank: BankText, code: str, own: OwnNumber) -> BankText:
    """The bank with the shop's own number in a stored value. Raises KeyError, Unreadable.

    Where the table has other rows by now, or the unit measures something else, nothing is set.
    """
    value = bank.value_by_code[code]
    for amount in own.amounts:
        read_amount(amount)
    if own.unit not in units_for(value) or len(own.amounts) != len(value.amounts):
        return bank
    amounts = [amount.strip() for amount in own.amounts]
    table = tuple((size, amount) for (size, _), amount in zip(value.table, amounts, strict=False))
    changed = replace(value, table=table) if table else replace(value, amount=amounts[0])
    return put_value(bank, replace(changed, unit=own.unit, source=own.source.strip(), note=own.note.strip()))


def unlikely_of(first: Value, own: OwnNumber) -> str:
    """The first sentence of `unlikely_number` for an amount of `own`; "" where every amount can be the shop's own.

    A table that has other rows by now is compared by its first row.
    """
    firsts = first.amounts if len(first.amounts) == len(own.amounts) else first.amounts[:1] * len(own.amounts)
    pairs = zip(firsts, own.amounts, strict=True)
    return next(
        (
            warning
            for had, amount in pairs
            if (warning := unlikely_number(replace(first, amount=had), amount, own.unit))
        ),
        "",
    )


def unlikely_number(first: Value, amount: str, unit: str) -> str:
    """Why an amount can't be the shop's own in place of the bank's `first`: a sentence, or "" where it can.

    Numbers like these keep fingers from a blade, so a slip of the unit must not go out. Raises Unreadable.
    """
    own, bank = Quantity(read_amount(amount), unit), Quantity(read_amount(first.amount), first.unit)
    if own.base <= 0:
        return _("The number must be more than 0.")
    if bank.base <= 0 or own.dimension != bank.dimension or bank.base / SLIP < own.base < bank.base * SLIP:
        return ""
    sentence = LARGER if own.base > bank.base else SMALLER
    return _(
        sentence,
        bank_amount=first.amount,
        bank_unit=first.unit,
        amount=amount.strip(),
        unit=unit,
        spoken_unit=spoken_unit(unit),
    )


LARGER = marked(
    "The bank had {bank_amount} {bank_unit}; {amount} {unit} is ten times that, or more. Check the unit: the number is "
    "in {spoken_unit}. If it is right, change it in the draft of the bank and read all of it over."
)
SMALLER = marked(
    "The bank had {bank_amount} {bank_unit}; {amount} {unit} is a tenth of that, or less. Check the unit: the number "
    "is in {spoken_unit}. If it is right, change it in the draft of the bank and read all of it over."
)


def other_mentions(bank: BankText, code: str) -> tuple[str, ...]:
    """The texts of live rules and questions that name the same amount as the stored value, in figures.

    They may mean the same thing: then they are changed in the draft, so that no two numbers stand for one.
    """
    value = bank.value_by_code[code]
    return tuple(dict.fromkeys(text for text in texts(bank) if names_amount(text, value)))


def names_amount(text: str, value: Value) -> bool:
    stored = [Quantity(read_amount(amount), value.unit) for amount in value.amounts]
    measures = {(quantity.dimension, quantity.base) for quantity in stored}
    return any((quantity.dimension, quantity.base) in measures for quantity in quantities(text))


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
