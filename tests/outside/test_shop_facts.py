"""The numbers of the starter banks against published values: by bank, and wherever a stored value cites a section."""

import math

import pytest

from quizzes.facts import Value
from quizzes.questions.lengths import Quantity, read_amount
from tests.shelf.banks import CODES, bank_of

# The limit that each section sets. Read: 1910.215, 1910.213(j), WAC, NIOSH, 1910.95, 1910.253, 1910.133(a)(5);
# from a page that restates it: 1910.242(b), 1910.252(a)(2), 1910.217, Z358.1; from memory: 1910.107, 1910.303.
LIMITS = {
    "29 CFR 1910.215(a)(4)": ("1/8", "in"),
    "29 CFR 1910.215(b)(9)": ("1/4", "in"),
    "29 CFR 1910.215(b)(3)": ("75", "%"),  # a quarter of the rim open; 30 CFR 56.14115(a) encloses 270 of 360 degrees
    "29 CFR 1910.213(j)(1)": ("1/8", "in"),
    "29 CFR 1910.242(b)": ("30", "psi"),
    "29 CFR 1910.253(a)(2)": ("15", "psi"),
    "29 CFR 1910.253(b)(4)(iii)": ("20", "ft"),
    "29 CFR 1910.252(a)(2)(iii)": ("30", "min"),
    "29 CFR 1910.252(a)(2)(vii)": ("35", "ft"),
    "29 CFR 1910.254(b)(3)": ("80", "V"),
    "29 CFR 1926.351(b)(2)": ("10", "ft"),
    "29 CFR 1910.252(c)(3)": ("100", "ft/min"),
    "29 CFR 1910.95(c)(1)": ("85", "dBA"),
    "29 CFR 1910.303(g)(1)": ("36", "in"),
    "29 CFR 1910.107(c)(2)": ("20", "ft"),
    "WAC 296-806-48012": ("1/4", "in"),
    "NIOSH FACE 15-MA-1NF": ("1/16", "in"),
}
# Where one section sets several limits, the value is named.
NAMED = {
    ("jointer", "rear-gap"): ("1/8", "in"),  # 29 CFR 1910.213(j)(2)
    ("jointer", "throat"): ("2 1/2", "in"),  # WAC 296-806-48056(3)(c)
    ("table-saw", "push-length"): ("450", "mm"),  # HSE WIS16
    ("table-saw", "blade-stop"): ("10", "s"),  # HSE WIS16, revision 2, braking
    ("general-shop-safety", "eye-rinse"): ("15", "min"),  # ANSI/ISEA Z358.1
    ("finishing-and-glue", "eye-rinse"): ("15", "min"),
    ("finishing-and-glue", "eye-reach"): ("10", "s"),
    ("oxy-fuel-and-plasma", "store-wall"): ("5", "ft"),  # 29 CFR 1910.253(b)(4)(iii): 20 ft, or a wall of 5 ft
}
CITING = [
    (code, value, limit)
    for code in CODES
    for value in bank_of(code).values
    if (limit := NAMED.get((code, value.code)) or LIMITS.get(value.source.split("; ")[0]))
]


def quantity_of(amount: str, unit: str) -> tuple[str, object]:
    quantity = Quantity(read_amount(amount), unit)
    return quantity.dimension, quantity.base


@pytest.mark.parametrize(("code", "value", "limit"), CITING, ids=[f"{code}-{value.code}" for code, value, _ in CITING])
def test_value_that_cites_a_section_states_its_limit(code: str, value: Value, limit: tuple[str, str]) -> None:
    assert quantity_of(value.amount, value.unit) == quantity_of(*limit)


def test_every_named_value_is_in_its_bank() -> None:
    assert set(NAMED) <= {(code, value.code) for code, value, _ in CITING}


def test_the_wood_shop_states_the_limits_of_its_machines() -> None:
    """A bank that stops naming a section would drop out of the check above unseen."""
    stated = {(code, value.code) for code, value, _ in CITING}
    assert {
        ("bench-grinder", "rest-gap"),
        ("bench-grinder", "tongue-gap"),
        ("bench-grinder", "guard-cover"),
        ("jointer", "knife-out"),
        ("table-saw", "hood-gap"),
        ("belt-and-disc-sander", "table-gap"),
        ("general-shop-safety", "noise-level"),
        ("general-shop-safety", "air-pressure"),
        ("general-shop-safety", "panel-clear"),
        ("finishing-and-glue", "spray-distance"),
    } <= stated


# ---- computed --------------------------------------------------------------------------------------------------------


def rpm(feet_a_minute: float, inches: float) -> float:
    """rpm = 12 V / (pi D), the cutting speed formula."""
    return 12 * feet_a_minute / (math.pi * inches)


def test_cutting_speed_formula_gives_the_published_examples() -> None:
    assert round(rpm(100, 1)) == 382
    assert round(rpm(100, 1 / 2)) == 764


def test_drill_speeds_in_steel_follow_the_formula() -> None:
    value = bank_of("drill-press").value_by_code["steel-speed"]
    widths = [float(read_amount(size.removesuffix(" in"))) for size, _ in value.table]
    assert widths == [0.25, 0.375, 0.5, 0.75, 1.0]
    assert [int(amount) for amount in value.amounts] == [round(rpm(100, width)) for width in widths]


def widest(size: str) -> float:
    """The upper end of a row: over 2 to 2 1/2 in → 2.5."""
    return float(read_amount(size.removesuffix(" in").rpartition("to ")[2]))


def test_lathe_speed_times_width_stays_at_6000() -> None:
    """Turners' rule, the cautious end of 6000 to 9000, at the upper end of each row; rough wood half of it at most."""
    values = bank_of("wood-lathe").value_by_code
    true = {widest(size): int(amount) for size, amount in values["true-speed"].table}
    rough = {widest(size): int(amount) for size, amount in values["rough-speed"].table}
    assert {width * speed for width, speed in true.items()} == {6000}
    assert all(width * speed <= 3000 for width, speed in rough.items())


def test_router_speed_is_on_the_bit_makers_charts() -> None:
    """The published chart by width; the rim of the widest bit moves at 125 miles an hour (pi D n / 1056)."""
    chart = {widest(size): int(amount) for size, amount in bank_of("router-table").value_by_code["bit-speed"].table}
    assert chart == {1: 24000, 2: 18000, 2.5: 16000, 3.5: 12000}
    assert round(math.pi * 3.5 * chart[3.5] / 1056) == 125
