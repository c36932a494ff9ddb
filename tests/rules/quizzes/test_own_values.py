"""A shop's own number, and the texts that name the old one."""

import pytest

from quizzes.lengths import Unreadable
from quizzes.own_values import named_elsewhere, with_own
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule


def test_only_the_amount_its_source_and_note_change() -> None:
    bank = with_own(a_bank(), "guard-gap", amount=" 1/4 ", source="manual, page 3", note="")
    own = bank.value_by_code["guard-gap"]
    assert (own.amount, own.unit, own.says, own.source, own.note) == ("1/4", "in", GAP.says, "manual, page 3", "")
    assert bank.questions == a_bank().questions


@pytest.mark.parametrize("amount", ["", "a bit", "1/0", "3 mm"])
def test_what_is_no_bare_number_is_no_amount(amount: str) -> None:
    with pytest.raises(Unreadable):
        with_own(a_bank(), "guard-gap", amount=amount, source="manual", note="")


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
    assert named_elsewhere(bank, "guard-gap") == ((says,) if named else ())


def test_what_is_retired_names_nothing() -> None:
    rules = (a_rule(says="Set it 1/8 in high.", retired=True),)
    assert named_elsewhere(a_bank(rules=rules, questions=(a_one(asks="1/8 in?"),)), "guard-gap") == ()
