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
    "29 CFR 1910.95(c)(1)": ("85", "dB"),
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


def test_drill_speed_in_steel_follows_the_formula() -> None:
    value = bank_of("drill-press").value_by_code["half-steel-speed"]
    assert int(value.amount) == round(rpm(100, 1 / 2))


@pytest.mark.parametrize(("code", "width"), [("big-speed", 8), ("bowl-speed", 10), ("widest-speed", 12)])
def test_lathe_speed_times_width_stays_at_6000(code: str, width: int) -> None:
    """Turners' rule, the cautious end of 6000 to 9000; the width is the largest that the value is for."""
    assert int(bank_of("wood-lathe").value_by_code[code].amount) * width == 6000


@pytest.mark.parametrize(("code", "width", "most"), [("wide-speed", 2.5, 16000), ("widest-speed", 3.5, 12000)])
def test_router_speed_is_on_the_bit_makers_charts(code: str, width: float, most: int) -> None:
    """Two of three published charts; the rim stays near 120 miles an hour, as at 3 1/2 in and 12,000."""
    amount = int(bank_of("router-table").value_by_code[code].amount)
    assert amount <= most
    assert math.pi * width * amount / 1056 < 126
