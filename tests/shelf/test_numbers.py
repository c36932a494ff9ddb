"""No number in a bank disagrees with a stored value: cards, keys and checklists all say the value that is stored."""

from collections.abc import Iterator
from fractions import Fraction

import pytest

from quizzes.facts import AllThatApply, BankText, Measure, OneAnswer, Order, Pair
from quizzes.questions.lengths import Quantity, read_amount
from tests.shelf.banks import bank_of, each_bank, machine_texts, rule_texts
from tests.shelf.quantities import of, quantities, same

# Numbers of a story ("the blade stands three inches high"), not of the rule. (bank, question) → what the number is.
STORY = {
    ("band-saw", "plan-cuts-1"): "the width of the blade, which sets the radius that is asked for",
    ("router-table", "light-cuts-2"): "the depth of the whole groove, cut in several passes",
    ("table-saw", "blade-low-2"): "how high the blade wrongly stands",
    ("thickness-planer", "long-board-5"): "the length that the part is cut to afterwards",
    ("finishing-and-glue", "splash-3"): "when one student of the story stops rinsing too soon",
}
TOLD = {
    ("general-shop-safety", "fit-to-work-3"): "how long a tired student has slept",
}


def stored(bank: BankText) -> list[Quantity]:
    return [Quantity(read_amount(value.amount), value.unit) for value in bank.values]


def teaching(code: str) -> Iterator[tuple[str, str]]:
    """(where, text) of all that is told as true: cards, checklists, right answers."""
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


@each_bank
def test_what_is_told_as_true_is_a_stored_value(code: str) -> None:
    kept = stored(bank_of(code))
    comparable = {of(value)[0] for value in kept}
    astray = {
        where: text
        for where, text in teaching(code)
        for one in quantities(text)
        if of(one)[0] in comparable and not any(same(one, value) for value in kept)
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
            of_rule.setdefault(question.rule, []).append(Quantity(read_amount(value.amount), value.unit))
    found = {
        question.code
        for question in bank.live_questions
        for one in quantities(question.asks)
        for value in of_rule.get(question.rule, [])
        if of(one)[0] == of(value)[0] and not any(same(one, kept) for kept in of_rule[question.rule])
    }
    explained = {question for bank_code, question in STORY if bank_code == code}
    assert found - explained == set()
    assert explained <= found, "explained, and no longer found"


def test_a_disagreement_is_found() -> None:
    bank = bank_of("scroll-saw")
    assert not any(same(one, value) for one in quantities("with at least five teeth in it") for value in stored(bank))
    assert any(same(one, value) for one in quantities("with at least three teeth in it") for value in stored(bank))


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
    assert [of(one) for one in quantities(text)] == [(what, Fraction(amount)) for what, amount in found]
