"""Reads a number with a unit as a student or a teacher writes it, exactly: fractions, decimals, inches, millimeters."""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from quizzes.facts import AT_MOST
from shopsafe.language.messages import _, marked

# Units of length in millimeters. An inch is 25.4 mm exactly (the international inch of 1959; from memory).
LENGTHS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
NAMES = {
    "mm": ("mm", "millimeter", "millimeters", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "in": ("in", "ins", "inch", "inches", '"', "″", "”", "''", "′′", "’’"),
    "ft": ("ft", "foot", "feet"),
    "s": ("s", "sec", "secs", "second", "seconds"),
    "min": ("min", "mins", "minute", "minutes"),
    "rpm": ("rpm", "r.p.m", "r/min", "rev/min", "revs/min", "turns a minute", "turns per minute"),
    "deg": ("deg", "degree", "degrees", "°"),
    "%": ("%", "percent", "per cent"),
    "dB": ("db", "decibel", "decibels"),
    "dBA": ("dba", "db(a)"),
    "psi": ("psi", "p.s.i", "pounds per square inch"),
}
SAME_SCALE = {"dBA": "dB"}  # a bare “decibels” is meant for either
SPOKEN = {
    "mm": marked("millimeters"),
    "cm": marked("centimetres"),
    "m": marked("metres"),
    "in": marked("inches"),
    "ft": marked("feet"),
    "s": marked("seconds"),
    "min": marked("minutes"),
    "rpm": marked("turns a minute (rpm)"),
    "deg": marked("degrees"),
    "%": marked("percent"),
    "dB": marked("decibels"),
    "dBA": marked("decibels (dBA)"),
    "psi": marked("pounds per square inch (psi)"),
    "shade": marked("shade numbers"),
}
UNITS = {name: unit for unit, names in NAMES.items() for name in names}
LONGEST = 60  # characters; no one needs more for one number
SLIP = 10  # our choice: what is typed in another unit is off by 10 (mm, cm), 12 (in, ft), 25.4 (mm, in) or 60
MOST_DIGITS = 9  # in a row

DIGITS = rf"\d{{1,{MOST_DIGITS}}}"
NUMBER = re.compile(
    rf"(?:(?P<decimal>(?:{DIGITS})?[.,]{DIGITS})"
    rf"|(?:(?P<whole>{DIGITS})(?:\s*-\s*|\s+))?(?P<top>{DIGITS})\s*/\s*(?P<bottom>{DIGITS})"
    rf"|(?P<integer>{DIGITS}))\s*(?P<unit>[^\d\s/.,-].*)?\Z",
    re.ASCII,
)
TOO_MANY = re.compile(rf"\d{{{MOST_DIGITS + 1}}}", re.ASCII)
THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}\Z", re.ASCII)


class Unreadable(ValueError):
    """The text is no number we can read. `sentence` says what to write instead, in a student's words."""

    def __init__(self, sentence: str):
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class Quantity:
    amount: Fraction
    unit: str

    @property
    def base(self) -> Fraction:
        """In millimeters for a length, in its own unit for everything else."""
        return self.amount * LENGTHS.get(self.unit, 1)

    @property
    def dimension(self) -> str:
        return "length" if self.unit in LENGTHS else SAME_SCALE.get(self.unit, self.unit)


def read_quantity(text: str, unit: str) -> Quantity:
    """The number in `text`, in the unit it names, else in `unit`. Raises Unreadable.

    A comma is a decimal comma in a length. In other numbers a comma before three digits could also mean thousands
    (1,000 rpm), and a guess could turn a right answer wrong: the writer is asked.
    """
    if len(text) > LONGEST:
        raise Unreadable(_("That is too long. {hint}", hint=_understood(unit)))
    plain = _plain(text)
    if not plain:
        raise Unreadable(_understood(unit))
    if TOO_MANY.search(plain):
        raise Unreadable(_("At most {number} digits. {hint}", number=MOST_DIGITS, hint=_understood(unit)))
    number_match = NUMBER.match(plain)
    if number_match is None:
        raise Unreadable(_("That isn't a number. {hint}", hint=_understood(unit)))
    own = _unit(number_match["unit"], unit)
    if number_match["decimal"] and own not in LENGTHS and THOUSANDS.match(number_match["decimal"]):
        raise Unreadable(_("Leave out the comma. Write 1000 or 1.5."))
    return Quantity(_amount(number_match), own)


def read_amount(text: str) -> Fraction:
    """A bare number, as stored values and tolerances are written. Raises Unreadable, also where a unit stands."""
    number_match = NUMBER.match(_plain(text)) if len(text) <= LONGEST else None
    if number_match is None or number_match["unit"]:
        raise Unreadable(_("Write a bare number, such as 7, 0.7, 7/16 or 9 3/4."))
    return _amount(number_match)


def _plain(text: str) -> str:
    """The text with fraction characters spelled out (½ → 1/2), odd spaces and dashes made plain, lower case."""
    spelled = "".join(
        " " + unicodedata.normalize("NFKC", sign) if unicodedata.decomposition(sign).startswith("<fraction>") else sign
        for sign in text
    )
    spelled = spelled.replace("⁄", "/").replace("−", "-").replace("–", "-").replace("‐", "-").replace("‑", "-")
    return " ".join(spelled.split()).casefold().rstrip(".")


def _unit(written: str | None, asked: str) -> str:
    if not written:
        return asked
    name = written.strip()
    unit = UNITS.get(name)
    if unit is None and name == asked.casefold():
        unit = asked  # a unit of the bank's own, such as "turns"
    if unit is None and re.search(r"\d", name):  # more of the number, such as 1e999
        raise Unreadable(_("That isn't a number. {hint}", hint=_understood(asked)))
    if unit is None:
        raise Unreadable(_("Unknown unit “{unit}”. {hint}", unit=name, hint=_hint(asked)))
    if Quantity(Fraction(0), unit).dimension != Quantity(Fraction(0), asked).dimension:
        raise Unreadable(_("This question asks for another unit. {hint}", hint=_hint(asked)))
    return unit


def _understood(asked: str) -> str:
    """What can be read, with numbers that are the key to nothing."""
    if asked in LENGTHS:
        return _("Write a number in digits, with in or mm, such as 7/16 in or 0.7 mm.")
    return _("Write a number in digits, in {unit}, such as 7 or 0.7.", unit=spoken_unit(asked))


def spoken_unit(unit: str) -> str:
    """ "millimeters" of mm; a unit of the bank's own stays as it is."""
    return _(SPOKEN[unit]) if unit in SPOKEN else unit


def _hint(asked: str) -> str:
    return _("Use in or mm.") if asked in LENGTHS else _("Use {unit}.", unit=asked)


def _amount(number_match: re.Match[str]) -> Fraction:
    if number_match["decimal"]:
        return Fraction("0" + number_match["decimal"].replace(",", "."))
    if number_match["integer"]:
        return Fraction(number_match["integer"])
    bottom = int(number_match["bottom"])
    if bottom == 0:
        raise Unreadable(_("A fraction can't have 0 below the line. Write it like 7/16."))
    part = Fraction(int(number_match["top"]), bottom)
    if not number_match["whole"]:
        return part
    if part >= 1:
        raise Unreadable(_("Write a whole number and a small fraction, such as 9 3/4."))
    return int(number_match["whole"]) + part


def is_within(answer: Quantity, key: Quantity, tolerance: Fraction) -> bool:
    """Whether `answer` is no further from `key` than `tolerance`, which is in the key's unit. Exact, no floats."""
    if answer.dimension != key.dimension:
        return False
    return abs(answer.base - key.base) <= tolerance * LENGTHS.get(key.unit, 1)


def meets(answer: Quantity, limit: Quantity, bound: str, tolerance: Fraction) -> bool:
    """Whether `answer` keeps the limit: at most or at least so much, or just so much where there is no bound.

    A stricter answer is right, so that a shop that teaches the safer number does not fail its students. One that is
    SLIP times off or more is a slip of the unit, and nothing or less keeps no limit.
    """
    if not bound:
        return is_within(answer, limit, tolerance)
    if answer.dimension != limit.dimension:
        return False
    slack = tolerance * LENGTHS.get(limit.unit, 1)
    if bound == AT_MOST:
        return limit.base / SLIP < answer.base <= limit.base + slack
    return limit.base - slack <= answer.base < limit.base * SLIP
