"""A shop's own number, and the texts that name the old one."""

from dataclasses import replace

import pytest

from quizzes.banks.rules.own_numbers import OwnNumber, other_mentions, unlikely_number, unlikely_of, with_own_number
from quizzes.questions.lengths import SPOKEN, Unreadable
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule


def test_only_the_amount_its_source_and_note_change() -> None:
    bank = with_own_number(a_bank(), "guard-gap", OwnNumber(amounts=(" 1/4 ",), unit="in", source="manual, page 3"))
    own = bank.value_by_code["guard-gap"]
    assert (own.amount, own.unit, own.says, own.source, own.note) == ("1/4", "in", GAP.says, "manual, page 3", "")
    assert bank.questions == a_bank().questions


@pytest.mark.parametrize("amount", ["", "a bit", "1/0", "3 mm"])
def test_invalid_amount_is_refused(amount: str) -> None:
    with pytest.raises(Unreadable):
        with_own_number(a_bank(), "guard-gap", OwnNumber(amounts=(amount,), unit="in", source="manual"))


@pytest.mark.parametrize(
    ("first", "unit", "amount", "says"),
    [
        ("1/8", "in", "1/4", ""),
        ("1/8", "in", "1/8", ""),
        ("1/8", "in", "1 1/5", ""),
        ("1/8", "in", "1.25", "The bank had 1/8 in; 1.25 in is ten times that, or more."),
        ("1/8", "in", "3", "The bank had 1/8 in; 3 in is ten times that, or more."),
        ("1/8", "in", "0.0126", ""),
        ("1/8", "in", "0.0125", "The bank had 1/8 in; 0.0125 in is a tenth of that, or less."),
        ("1/8", "in", "0", "The number must be more than 0."),
        ("1/8", "in", "0/4", "The number must be more than 0."),
        ("0", "in", "0", "The number must be more than 0."),
        ("0", "in", "3", ""),
        ("500", "rpm", "4999", ""),
        ("500", "rpm", "5000", "The bank had 500 rpm; 5000 rpm is ten times that, or more."),
        ("15", "min", "1", "The bank had 15 min; 1 min is a tenth of that, or less."),
    ],
)
def test_an_amount_beyond_a_slip_of_the_unit_is_unlikely(first: str, unit: str, amount: str, says: str) -> None:
    warning = unlikely_number(replace(GAP, amount=first, unit=unit), amount, unit)
    assert warning.startswith(says) if says else not warning
    assert (f"Check the unit: the number is in {SPOKEN[unit]}." in warning) is says.startswith("The bank")


def test_a_bank_that_had_another_unit_at_first_is_compared_by_length() -> None:
    assert unlikely_number(replace(GAP, amount="3", unit="mm"), "1/8", "in") == ""
    assert unlikely_number(replace(GAP, amount="3", unit="mm"), "3", "in") != ""
    assert unlikely_number(replace(GAP, amount="3", unit="mm"), "3", "rpm") == ""


@pytest.mark.parametrize("amount", ["-1", "−3", "a bit"])
def test_less_than_nothing_can_not_even_be_read(amount: str) -> None:
    with pytest.raises(Unreadable):
        unlikely_number(GAP, amount, "in")


@pytest.mark.parametrize(
    ("says", "named"),
    [
        ("Set the guard 1/8 in above the wood.", True),
        ("Set the guard 1/8-inch above the wood.", True),
        ("Set the guard 3.175 mm above the wood.", True),
        ("Set the guard 2 1/8 in above the wood.", False),
        ("Set the guard 1/4 in above the wood.", False),
        ("Wait 1/8 s.", False),
        ("Set the guard low.", False),
    ],
)
def test_a_rule_that_names_the_same_amount_is_found(says: str, named: bool) -> None:
    bank = a_bank(rules=(a_rule(says=says),), questions=(a_one(),))
    assert other_mentions(bank, "guard-gap") == ((says,) if named else ())


def test_retired_items_are_not_listed_as_mentions() -> None:
    rules = (a_rule(says="Set it 1/8 in high.", retired=True),)
    assert other_mentions(a_bank(rules=rules, questions=(a_one(asks="1/8 in?"),)), "guard-gap") == ()


# ---- a table, and a unit of the shop ---------------------------------------------------------------------------------

SPEEDS = replace(GAP, code="speed", amount="", unit="rpm", table=(("up to 1 in", "24000"), ("over 1 in", "18000")))


def own_of(*amounts: str, unit: str = "rpm") -> OwnNumber:
    return OwnNumber(amounts=amounts, unit=unit, source="manual, page 3")


def test_own_numbers_replace_each_row_of_a_table() -> None:
    bank = with_own_number(replace(a_bank(), values=(SPEEDS,)), "speed", own_of("22000", " 16000 "))
    assert bank.value_by_code["speed"].table == (("up to 1 in", "22000"), ("over 1 in", "16000"))


@pytest.mark.parametrize("own", [own_of("22000"), own_of("1", "2", "3"), own_of("1", "2", unit="in")])
def test_own_number_changes_nothing_when_rows_or_unit_do_not_fit(own: OwnNumber) -> None:
    bank = replace(a_bank(), values=(SPEEDS,))
    assert with_own_number(bank, "speed", own) == bank


def test_own_length_may_be_in_another_unit() -> None:
    bank = with_own_number(a_bank(), "guard-gap", own_of("3", unit="mm"))
    assert bank.value_by_code["guard-gap"].reads == "3 mm"


def test_each_row_of_a_table_is_compared_with_its_own_first_number() -> None:
    assert unlikely_of(SPEEDS, own_of("22000", "16000")) == ""
    assert unlikely_of(SPEEDS, own_of("22000", "1600")).startswith("The bank had 18000 rpm; 1600 rpm is a tenth")
    assert unlikely_of(SPEEDS, own_of("22000", "16000", "1")).startswith("The bank had 24000 rpm; 1 rpm is a tenth")
