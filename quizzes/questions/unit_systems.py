"""A stored value in the units that the school uses. Rules: no Django.

A number is shown as its source states it. Where the school uses the other system, the converted number follows in
parentheses, rounded to the safe side: a least distance up, a largest gap down.
"""

import re
from fractions import Fraction

from quizzes.facts import AT_LEAST, AT_MOST, Value
from quizzes.questions.lengths import LENGTHS, read_amount
from shopsafe.conventions import uses_inches

OF_INCHES = {"in": "mm", "ft": "m", "°F": "°C", "psi": "kPa"}
OF_MILLIMETRES = {"mm": "in", "cm": "in", "m": "ft", "°C": "°F"}
KILOPASCALS_IN_A_PSI = Fraction("6.894757")  # NIST Special Publication 811, appendix B.8
FIGURE = r"(?:\d+ )?\d+(?:/\d+)?"
LENGTH_IN_TEXT = re.compile(rf"(?<![\w/.(])(?:({FIGURE}) to )?({FIGURE}) in\b(?! \()")


def shown(value: Value) -> str:
    """One number with its unit, or the rows of a table one after the other."""
    if not value.table:
        return f"{value.amount} {value.unit}{beside(value.amount, value.unit, value.bound)}"
    return "; ".join(f"{size}: {amount}" for size, amount in shown_rows(value, with_unit=True))


def shown_rows(value: Value, *, with_unit: bool = False) -> list[tuple[str, str]]:
    unit = f" {value.unit}" if with_unit else ""
    return [
        (with_millimeters(size), f"{amount}{unit}{beside(amount, value.unit, value.bound)}")
        for size, amount in value.table
    ]


def beside(amount: str, unit: str, bound: str) -> str:
    """ " (6 mm)" for a largest gap of 1/4 in where the school uses millimeters; "" where it uses the unit itself."""
    other = (OF_MILLIMETRES if uses_inches() else OF_INCHES).get(unit)
    if other is None:
        return ""
    exact = _converted(read_amount(amount), unit, other)
    return f" ({_written(_rounded(exact, other, bound), other)} {other})"


def with_millimeters(text: str) -> str:
    """A text that names sizes, such as "up to 3 in", with the size in millimeters where the school uses them."""
    if uses_inches():
        return text
    return LENGTH_IN_TEXT.sub(_with_millimeters, text)


def _with_millimeters(size: re.Match[str]) -> str:
    start, end = (_millimeters(figure) for figure in size.groups())
    return f"{size[0]} ({start} to {end} mm)" if start else f"{size[0]} ({end} mm)"


def _millimeters(figure: str | None) -> str:
    return _written(_rounded(_converted(read_amount(figure), "in", "mm"), "mm", ""), "mm") if figure else ""


def _converted(amount: Fraction, unit: str, other: str) -> Fraction:
    if unit == "°F":
        return (amount - 32) * 5 / 9
    if unit == "°C":
        return amount * 9 / 5 + 32
    if unit == "psi":
        return amount * KILOPASCALS_IN_A_PSI
    return amount * LENGTHS[unit] / LENGTHS[other]


def _rounded(exact: Fraction, unit: str, bound: str) -> Fraction:
    step = _step(exact, unit)
    steps = exact / step
    if bound == AT_MOST:
        return step * (steps.numerator // steps.denominator)
    if bound == AT_LEAST:
        return step * -(-steps.numerator // steps.denominator)
    return step * round(steps)


def _step(exact: Fraction, unit: str) -> Fraction:
    """What a rule or a gauge in a shop can tell apart; our choice."""
    if unit == "mm":
        return Fraction(1, 2) if exact < 10 else Fraction(1) if exact < 100 else Fraction(5)
    if unit == "in":
        return Fraction(1, 16) if exact < 4 else Fraction(1, 4)
    return {"m": Fraction(1, 10), "ft": Fraction(1, 2), "kPa": Fraction(5)}.get(unit, Fraction(1))


def _written(amount: Fraction, unit: str) -> str:
    """ "17 3/4" in inches, otherwise a decimal such as "6.5"."""
    if unit != "in" or amount.denominator == 1:
        return f"{float(amount):g}"
    whole, part = divmod(amount, 1)
    return f"{whole} {part}" if whole else str(part)
