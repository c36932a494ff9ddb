"""Finds the numbers with a unit in a text, written in figures or in words, as quantities that can be compared."""

import re
from collections.abc import Iterator
from fractions import Fraction

from quizzes.questions.lengths import UNITS, Quantity, read_amount

IN_WORDS = {
    "a": "1", "an": "1", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
    "eight": "8", "nine": "9", "ten": "10", "twelve": "12", "fifteen": "15", "twenty": "20", "thirty": "30",
    "sixty": "60", "half": "1/2", "half a": "1/2", "half an": "1/2", "a half": "1/2", "a quarter": "1/4",
    "quarter": "1/4", "an eighth": "1/8",
}  # fmt: skip
MORE_UNITS = {
    "hour": "hours",
    "hours": "hours",
    "tooth": "teeth",
    "teeth": "teeth",
    "clamp": "clamps",
    "clamps": "clamps",
}
EVERY_UNIT = UNITS | MORE_UNITS
FIGURES = r"\d+ \d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?"
WORDS = "|".join(sorted(IN_WORDS, key=len, reverse=True))
NAMES = "|".join(sorted(map(re.escape, EVERY_UNIT), key=len, reverse=True))
FOUND = re.compile(rf"(?<![\w/])(?:({FIGURES})|({WORDS}))(?: of)?(?: an?)?[ -]?({NAMES})(?!\w)", re.IGNORECASE)


def quantities(text: str) -> Iterator[Quantity]:
    """“3 in” is a length, “three in the drawer” is none; “a foot” and “a second” seldom measure anything."""
    for figures, words, name in FOUND.findall(text):
        if words and len(name) < 4:
            continue
        if words.casefold() in ("a", "an", "one") and name.casefold() not in ("inch", "minute", "hour"):
            continue
        yield Quantity(read_amount(figures or IN_WORDS[words.casefold()]), EVERY_UNIT[name.casefold()])


def same(first: Quantity, second: Quantity) -> bool:
    """Alike in what they measure and in how much, whatever the unit: 1 min is 60 s."""
    return of(first) == of(second)


def of(quantity: Quantity) -> tuple[str, Fraction]:
    seconds = {"s": 1, "min": 60, "hours": 3600}.get(quantity.unit)
    return ("time", quantity.amount * seconds) if seconds else (quantity.dimension, quantity.base)
