"""Stored values with a bound, with a table by size, and those that a shop decides: read, graded, drawn, guessed."""

import random
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from quizzes.banks.rules.checks import check
from quizzes.banks.rules.data import from_data, to_data
from quizzes.banks.rules.fields import BankFileError
from quizzes.facts import AT_LEAST, AT_MOST, BankText, EditionText, History, Measure, Value
from quizzes.guessing.chances import BOUNDED, IN_A_TABLE, chance_in, easiest_form
from quizzes.questions.assembly import assemble, form_question
from quizzes.questions.grading import is_right
from quizzes.questions.showing import as_record, show
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule

SPEED = Value(
    code="speed",
    says="Top speed by width of the bit",
    unit="rpm",
    bound=AT_MOST,
    size="Width",
    table=(("over 2 to 2 1/2 in", "16000"), ("over 2 1/2 to 3 1/2 in", "12000")),
)


def answers(value: Value, text: str, *, row: int = 0, tolerance: str = "0") -> bool:
    question = Measure(code="q", rule="guard-low", asks="?", value=value.code, row=row, tolerance=tolerance)
    return is_right(question, text, {value.code: value})


@pytest.mark.parametrize(
    ("bound", "text", "right"),
    [
        (AT_MOST, "1/8 in", True),
        (AT_MOST, "1/16", True),
        (AT_MOST, "3 mm", True),
        (AT_MOST, "1/4", False),
        (AT_MOST, "4 mm", False),
        (AT_MOST, "1/80", False),  # ten times off: a slip of the unit, or a guess
        (AT_MOST, "0", False),
        (AT_LEAST, "1/8", True),
        (AT_LEAST, "1/4", True),
        (AT_LEAST, "1/16", False),
        (AT_LEAST, "1 1/4", False),
        ("", "1/8", True),
        ("", "1/16", False),
    ],
)
def test_stricter_answer_is_right_where_the_value_is_a_bound(bound: str, text: str, right: bool) -> None:
    assert answers(replace(GAP, bound=bound), text) is right


def test_tolerance_widens_the_loose_side_of_a_bound_only() -> None:
    gap = replace(GAP, bound=AT_MOST)
    assert answers(gap, "3/16", tolerance="1/16")
    assert not answers(gap, "1/4", tolerance="1/16")


@pytest.mark.parametrize(("row", "text", "right"), [(1, "16000", True), (2, "16000", False), (2, "12000 rpm", True)])
def test_row_of_a_table_is_the_key(row: int, text: str, right: bool) -> None:
    assert answers(SPEED, text, row=row) is right


def with_table(**question: Any) -> BankText:
    fields = {"code": "speed-1", "rule": "guard-low", "asks": "How fast?", "value": "speed", "row": 2} | question
    bank = a_bank()
    return replace(bank, values=(*bank.values, SPEED), questions=(*bank.questions, Measure(**fields)))


def test_question_shows_the_table_and_the_record_keeps_it() -> None:
    edition = EditionText(bank=with_table())
    line = form_question(edition.bank.question_by_code["speed-1"], random.Random(1))
    asked = show(edition, line, 1)
    assert asked.chart == SPEED
    record = as_record(asked, {"text": "12000"}, right=True)
    assert record["chart"] == ["over 2 to 2 1/2 in: 16000 rpm", "over 2 1/2 to 3 1/2 in: 12000 rpm"]


def test_table_reads_in_one_line_row_after_row() -> None:
    assert SPEED.reads == "over 2 to 2 1/2 in: 16000 rpm; over 2 1/2 to 3 1/2 in: 12000 rpm"
    assert GAP.reads == "1/8 in"


def test_value_that_names_a_rule_is_on_its_card_without_a_question() -> None:
    bank = replace(a_bank(), values=(GAP, replace(SPEED, rule="guard-low")))
    assert SPEED.code in [value.code for value in bank.values_of_rule["guard-low"]]


# ---- as data ---------------------------------------------------------------------------------------------------------


def test_values_come_back_from_data_as_they_were() -> None:
    bank = replace(with_table(), values=(replace(GAP, bound=AT_LEAST, set_by="shop", rule="guard-low"), SPEED))
    assert from_data(to_data(bank)) == bank


def problems_of(value: dict[str, Any], **question: Any) -> list[str]:
    data = to_data(with_table(**question))
    data["value"][-1] = {key: item for key, item in (data["value"][-1] | value).items() if item is not None}
    with pytest.raises(BankFileError) as caught:
        from_data(data)
    return [f"{problem.where}: {problem.sentence}" for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ({"amount": "5"}, "value speed: A number to know has an “amount”, or a “table” of sizes"),
        ({"bound": "less"}, "value speed: “bound” must be at most or at least, or be left out."),
        ({"set_by": "me"}, "value speed: “set_by” must be shop or machine or tool, or be left out."),
        ({"rule": "nowhere"}, "value speed: There is no rule “nowhere”."),
        ({"table": [["2 in", "a bit"], ["3 in", "1"]]}, "value speed: “table”, 2 in: Write a bare number"),
        ({"table": [["2 in", "5"]]}, "value speed: “table” needs 2 to 12 rows."),
        ({"table": [["2 in", "5"], ["2 in", "6"]]}, "value speed: “table” names a size twice."),
        ({"table": [["", "5"], ["2 in", "6"]]}, "value speed: “table” has a row without a size."),
        ({"table": ["5", "6"]}, "value speed: “table” is a list of sizes with a number each"),
    ],
)
def test_value_that_makes_no_sense_is_named(value: dict[str, Any], says: str) -> None:
    assert any(problem.startswith(says) for problem in problems_of(value)), problems_of(value)


@pytest.mark.parametrize("row", [0, 3])
def test_question_must_name_a_row_of_the_table(row: int) -> None:
    assert problems_of({}, row=row) == [
        "question speed-1: “row” must name a row of the table “speed”, from 1 to 2.",
    ]


def test_question_on_one_number_names_no_row() -> None:
    assert problems_of({"table": None, "amount": "5"}) == [
        "question speed-1: The number to know “speed” is one number. Leave “row” out.",
    ]


# ---- not every time --------------------------------------------------------------------------------------------------

SHOP_GAP = replace(GAP, set_by="shop")


def must_bank(*ones: int) -> BankText:
    """A must-ask rule with one question on a number that the shop decides, and so many others."""
    number = Measure(code="number", rule="guard-low", asks="How far?", value=GAP.code)
    others = tuple(a_one(f"other-{count}", "guard-low", asks=f"Question {count}?") for count in ones)
    bank = a_bank()
    rule = a_rule("guard-low", must_ask=True)
    return replace(bank, values=(SHOP_GAP,), rules=(rule,), questions=(number, *others))


@pytest.mark.parametrize("seed", range(20))
def test_number_of_the_shop_never_stands_for_a_must_ask_rule(seed: int) -> None:
    bank = must_bank(1, 2)
    bank = replace(bank, blueprint=replace(bank.blueprint, ask=1))
    seen = History(seen={"other-1": 9, "other-2": 9})
    assert [line.code for line in assemble(bank, seen, random.Random(seed)).lines] != ["number"]


def test_number_of_the_shop_is_asked_where_there_is_room() -> None:
    bank = must_bank(1)
    bank = replace(bank, blueprint=replace(bank.blueprint, ask=2))
    assert {line.code for line in assemble(bank, History(), random.Random(1)).lines} == {"number", "other-1"}


def test_check_refuses_a_required_rule_tested_only_by_a_shop_number() -> None:
    assert "shop-number" in {finding.check for finding in check(must_bank())}
    assert "shop-number" not in {finding.check for finding in check(must_bank(1))}


# ---- luck ------------------------------------------------------------------------------------------------------------


def test_bounds_and_tables_are_easier_to_guess() -> None:
    bank = replace(with_table(), values=(replace(GAP, bound=AT_MOST), SPEED))
    bounded = Measure(code="b", rule="guard-low", asks="?", value=GAP.code)
    assert chance_in(bank, bounded) == BOUNDED == Fraction(1, 2)
    assert chance_in(bank, bank.question_by_code["speed-1"]) == IN_A_TABLE == 1


def test_easiest_form_leaves_the_shops_number_out_of_a_must_ask_rule() -> None:
    bank = must_bank(1)
    bank = replace(bank, values=(replace(SHOP_GAP, bound=AT_MOST),), blueprint=replace(bank.blueprint, ask=1))
    assert easiest_form(bank) == (Fraction(1, 4),)
