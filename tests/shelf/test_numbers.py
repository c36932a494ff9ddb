"""No number in a bank disagrees with a stored value: cards, keys and checklists all say the value that is stored."""

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

import pytest

from quizzes.facts import BOUNDS, AllThatApply, BankText, Measure, OneAnswer, Order, Pair
from quizzes.questions.lengths import Quantity, read_amount
from quizzes.questions.unit_systems import beside
from shopsafe.conventions import Conventions, conventions_in_use
from tests.shelf.banks import WOOD_SHOP, bank_of, each_bank, machine_texts, rule_texts
from tests.shelf.quantities import of, quantities, same

# Numbers of a story ("the blade stands three inches high"), not of the rule. (bank, question) → what the number is.
STORY = {
    ("band-saw", "plan-cuts-1"): "the width of the blade, which sets the radius that is asked for",
    ("router-table", "light-cuts-2"): "the depth of the whole groove, cut in several passes",
    ("sheet-metal", "opening-1"): "how far the guard is from the blade, which picks the row of the table",
}
TOLD = {
    ("oxy-fuel-and-plasma", "acetylene-3"): "a gauge that stands too high, as a sign to shut the valve",
}


def stored(bank: BankText) -> list[Quantity]:
    return [Quantity(read_amount(amount), value.unit) for value in bank.values for amount in value.amounts]


def teaching(code: str) -> Iterator[tuple[str, str]]:
    """(where, text) of all that is said to be true: cards, checklists, right answers."""
    yield from rule_texts(code)
    yield from machine_texts(code)
    for question in bank_of(code).live_questions:
        match question:
            case OneAnswer():
                yield question.code, question.right
            case AllThatApply():
                yield from ((question.code, text) for text in question.right)
            case Order():
                yield from ((question.code, text) for text in question.steps)
            case Pair():
                yield from ((question.code, f"{left} {right}") for left, right in question.pairs)


BESIDE = re.compile(r"(?P<first>[\d/ ]+ (?P<unit>\S+)) (?P<beside>\([\d. ]+ (?:mm|m|kPa|°C)\))")


def without_converted(text: str) -> str:
    """The text without the numbers of the other system that follow a number in parentheses."""
    return BESIDE.sub(lambda both: both["first"], text)


@each_bank
def test_number_in_the_other_system_is_the_number_before_it(code: str) -> None:
    """Within what a rule can tell apart: which way it is rounded goes by the sense of the sentence."""
    with conventions_in_use(Conventions.INTERNATIONAL):
        for where, text in rule_texts(code):
            for both in BESIDE.finditer(text):
                amount = both["first"].removesuffix(both["unit"]).strip()
                likely = {beside(amount, both["unit"], bound).strip() for bound in BOUNDS}
                assert both["beside"] in likely, where


@each_bank
def test_number_in_a_text_is_a_stored_value(code: str) -> None:
    kept = stored(bank_of(code))
    comparable = {of(value)[0] for value in kept}
    astray = {
        where: text
        for where, text in teaching(code)
        for quantity in quantities(without_converted(text))
        if of(quantity)[0] in comparable and not any(same(quantity, value) for value in kept)
    }
    explained = {where for bank_code, where in TOLD if bank_code == code}
    assert {where: text for where, text in astray.items() if where not in explained} == {}
    assert explained <= set(astray), "explained, and no longer found"


@each_bank
def test_a_stem_says_no_other_number_than_its_rule_stores(code: str) -> None:
    bank = bank_of(code)
    of_rule: dict[str, list[Quantity]] = {}
    for question in bank.live_questions:
        if isinstance(question, Measure):
            value = bank.value_by_code[question.value]
            numbers = [Quantity(read_amount(amount), value.unit) for amount in value.amounts]
            of_rule.setdefault(question.rule, []).extend(numbers)
    contradicting = {
        question.code
        for question in bank.live_questions
        for quantity in quantities(question.asks)
        for value in of_rule.get(question.rule, [])
        if of(quantity)[0] == of(value)[0] and not any(same(quantity, number) for number in of_rule[question.rule])
    }
    explained = {question for bank_code, question in STORY if bank_code == code}
    assert contradicting - explained == set()
    assert explained <= contradicting, "explained, and no longer found"


def test_a_disagreement_is_found() -> None:
    bank = bank_of("scroll-saw")
    assert not any(
        same(quantity, value) for quantity in quantities("with at least five teeth in it") for value in stored(bank)
    )
    assert any(
        same(quantity, value) for quantity in quantities("with at least three teeth in it") for value in stored(bank)
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Set the guard 1/8 in above the wood.", [("length", "127/40")]),
        ("Keep your hands two inches off.", [("length", "254/5")]),
        ("It cools for ten minutes.", [("time", "600")]),
        ("Wait a minute, then 60 s more.", [("time", "60"), ("time", "60")]),
        ("A gap of half an inch", [("length", "127/10")]),
        ("At 764 rpm", [("rpm", "764")]),
        ("It covers 75 percent.", [("%", "75")]),
        ("One in the drawer, two on the bench", []),
        ("Hold it with one hand.", []),
    ],
)
def test_numbers_are_found_in_figures_and_in_words(text: str, found: list[tuple[str, str]]) -> None:
    assert [of(quantity) for quantity in quantities(text)] == [(what, Fraction(amount)) for what, amount in found]


# ---- what a shop decides ---------------------------------------------------------------------------------------------

# Numbers that a written rule fixes, the same in every shop; every other one is left to the shop, machine or tool.
FIXED = {
    ("bench-grinder", "rest-gap"),
    ("bench-grinder", "tongue-gap"),
    ("bench-grinder", "guard-cover"),
    ("table-saw", "hood-gap"),
    ("jointer", "knife-out"),
    ("jointer", "rear-gap"),
    ("jointer", "throat"),
    ("general-shop-safety", "panel-clear"),
    ("general-shop-safety", "eye-rinse"),
    ("general-shop-safety", "noise-level"),
    ("general-shop-safety", "air-pressure"),
    ("finishing-and-glue", "eye-rinse"),
    ("finishing-and-glue", "eye-reach"),
    ("finishing-and-glue", "spray-distance"),
    ("arc-welding", "clear-distance"),
    ("arc-welding", "fire-watch"),
    ("arc-welding", "mig-shade"),
    ("arc-welding", "stick-shade"),
    ("arc-welding", "whole-cable"),
    ("oxy-fuel-and-plasma", "acetylene-pressure"),
    ("oxy-fuel-and-plasma", "acetylene-turns"),
    ("oxy-fuel-and-plasma", "store-distance"),
    ("oxy-fuel-and-plasma", "store-wall"),
    ("oxy-fuel-and-plasma", "clear-distance"),
    ("oxy-fuel-and-plasma", "fire-watch"),
    ("oxy-fuel-and-plasma", "torch-shade"),
    ("oxy-fuel-and-plasma", "plasma-shade"),
    ("sheet-metal", "guard-gap"),
}
TAUGHT_TO_TEACHERS = {
    ("jointer", "knife-out"),
    ("jointer", "rear-gap"),
    ("jointer", "throat"),
    ("table-saw", "blade-stop"),
}
METAL_SHOP = [
    "arc-welding", "forge-and-foundry", "metal-cutting-saws", "metal-lathe", "milling-machine", "oxy-fuel-and-plasma",
    "sheet-metal",
]  # fmt: skip


@pytest.mark.parametrize("code", [*WOOD_SHOP, *METAL_SHOP])
def test_value_is_left_to_the_shop_unless_a_written_rule_fixes_it(code: str) -> None:
    fixed = {(code, value.code) for value in bank_of(code).values if not value.set_by}
    assert fixed == {(bank, value) for bank, value in FIXED if bank == code}


@pytest.mark.parametrize("code", [*WOOD_SHOP, *METAL_SHOP])
def test_value_is_a_bound_so_that_a_stricter_shop_passes(code: str) -> None:
    """But for the heat of a nozzle, which the label gives, and the noise at which protection is offered."""
    exact = {value.code for value in bank_of(code).values if not value.bound}
    assert exact <= {"nozzle-heat", "noise-level"}


@each_bank
def test_required_rule_has_three_questions_without_a_shop_number(code: str) -> None:
    """One for a first form and two for a fresh one after a miss."""
    bank = bank_of(code)
    counts = Counter(question.rule for question in bank.live_questions if not bank.leaves_to_the_shop(question))
    assert [rule.code for rule in bank.live_rules if rule.must_ask and counts[rule.code] < 3] == []


def test_number_for_the_teacher_is_asked_of_no_student() -> None:
    asked = {
        (code, question.value)
        for code in WOOD_SHOP
        for question in bank_of(code).live_questions
        if isinstance(question, Measure)
    }
    assert asked & TAUGHT_TO_TEACHERS == set()


@pytest.mark.parametrize("code", [*WOOD_SHOP, *METAL_SHOP])
def test_no_card_or_checklist_names_a_number_that_is_asked(code: str) -> None:
    """Rules and checklists stay readable beside an open attempt; the numbers to know do not."""
    bank = bank_of(code)
    asked = [
        Quantity(read_amount(value.key(question.row)), value.unit)
        for question in bank.live_questions
        if isinstance(question, Measure)
        for value in [bank.value_by_code[question.value]]
    ]
    named = {
        (code, where)
        for where, text in (*rule_texts(code), *machine_texts(code))
        for quantity in quantities(text)
        if any(same(quantity, number) for number in asked)
    }
    assert named == set()
