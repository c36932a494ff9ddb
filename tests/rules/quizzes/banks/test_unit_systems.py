"""Stored values in the units of the school: the source's number first, the other system's rounded to the safe side."""

import pytest

from quizzes.facts import AT_LEAST, AT_MOST, Value
from quizzes.questions.unit_systems import beside, shown, shown_rows
from shopsafe.conventions import Conventions, conventions_in_use

US, INTERNATIONAL = Conventions.UNITED_STATES, Conventions.INTERNATIONAL


@pytest.mark.parametrize(
    ("conventions", "amount", "unit", "bound", "added"),
    [
        (US, "1/4", "in", AT_MOST, ""),
        (US, "450", "mm", AT_LEAST, " (17 3/4 in)"),  # 17.717: shorter would be less than the least
        (US, "450", "mm", AT_MOST, " (17 1/2 in)"),
        (US, "3", "mm", AT_MOST, " (1/16 in)"),
        (US, "200", "°C", "", " (392 °F)"),
        (INTERNATIONAL, "1/4", "in", AT_MOST, " (6 mm)"),  # 6.35
        (INTERNATIONAL, "1/4", "in", "", " (6.5 mm)"),
        (INTERNATIONAL, "1/16", "in", AT_MOST, " (1.5 mm)"),  # 1.5875
        (INTERNATIONAL, "2", "in", AT_LEAST, " (51 mm)"),  # 50.8
        (INTERNATIONAL, "36", "in", AT_LEAST, " (915 mm)"),  # 914.4
        (INTERNATIONAL, "35", "ft", AT_LEAST, " (10.7 m)"),  # 10.668
        (INTERNATIONAL, "30", "psi", AT_MOST, " (205 kPa)"),  # 206.8
        (INTERNATIONAL, "320", "°F", AT_MOST, " (160 °C)"),
        (INTERNATIONAL, "450", "mm", AT_LEAST, ""),
        (INTERNATIONAL, "1528", "rpm", AT_MOST, ""),
    ],
)
def test_converted_number_keeps_the_limit(
    conventions: Conventions, amount: str, unit: str, bound: str, added: str
) -> None:
    with conventions_in_use(conventions):
        assert beside(amount, unit, bound) == added


def test_table_converts_its_sizes_and_amounts() -> None:
    rows = (("1/8 in", "3/16"), ("over 2 1/2 to 3 1/2 in", "1 7/16"))
    radius = Value(code="radius", says="Tightest curve", unit="in", bound=AT_LEAST, table=rows)
    with conventions_in_use(INTERNATIONAL):
        assert shown_rows(radius) == [
            ("1/8 in (3 mm)", "3/16 (5 mm)"),
            ("over 2 1/2 to 3 1/2 in (64 to 89 mm)", "1 7/16 (37 mm)"),
        ]
        assert shown(radius).startswith("1/8 in (3 mm): 3/16 in (5 mm); ")
    with conventions_in_use(US):
        assert shown(radius) == radius.reads
