"""Changing a draft one thing at a time: everything else stays, nothing is lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.banks.rules import editing
from quizzes.banks.rules.changes import Difference, differences
from quizzes.banks.rules.data import from_data, to_data
from quizzes.facts import BankText, Blueprint
from tests.factories.bank_texts import a_bank, a_one, a_rule, banks, plain_bank


def codes(bank: BankText) -> tuple[list[str], list[str]]:
    return [rule.code for rule in bank.rules], [question.code for question in bank.questions]


def test_a_rule_takes_its_place_and_a_new_one_goes_last() -> None:
    bank = plain_bank(3, 1, ask=1)
    changed = editing.put_rule(bank, a_rule("r1", says="Changed."))
    assert codes(changed) == codes(bank)
    assert changed.rules[1].says == "Changed."
    assert codes(editing.put_rule(bank, a_rule("new")))[0] == ["r0", "r1", "r2", "new"]


def test_a_new_question_stands_behind_the_last_of_its_rule() -> None:
    bank = plain_bank(2, 2, ask=1)
    assert codes(editing.put_question(bank, a_one("new", "r0")))[1] == ["r0-q0", "r0-q1", "new", "r1-q0", "r1-q1"]
    bare = editing.put_rule(bank, a_rule("r9"))
    assert codes(editing.put_question(bare, a_one("new", "r9")))[1][-1] == "new"


@pytest.mark.parametrize(
    ("what", "code", "step", "order"),
    [
        ("rule", "r1", -1, ["r1", "r0", "r2"]),
        ("rule", "r1", 1, ["r0", "r2", "r1"]),
        ("rule", "r0", -1, ["r0", "r1", "r2"]),
        ("rule", "r2", 1, ["r0", "r1", "r2"]),
    ],
)
def test_a_rule_moves_by_one(what: str, code: str, step: int, order: list[str]) -> None:
    assert codes(editing.move(plain_bank(3, 1, ask=1), what, code, step))[0] == order


def test_a_question_moves_among_those_of_its_rule() -> None:
    bank = editing.move(plain_bank(2, 2, ask=1), "question", "r0-q1", 1)
    assert codes(bank)[1] == ["r0-q0", "r0-q1", "r1-q0", "r1-q1"], "it never leaves its rule"
    mixed = a_bank(rules=(a_rule("a"), a_rule("b")), questions=(a_one("a1", "a"), a_one("b1", "b"), a_one("a2", "a")))
    assert codes(editing.move(mixed, "question", "a2", -1))[1] == ["a2", "b1", "a1"]


@given(banks(), st.data())
def test_moving_there_and_back_and_retiring_lose_nothing(bank: BankText, data: st.DataObject) -> None:
    what, items = data.draw(st.sampled_from([("rule", bank.rules), ("question", bank.questions)]))
    if not items:
        return
    code = data.draw(st.sampled_from([item.code for item in items]))
    for changed in (editing.move(bank, what, code, 1), editing.retire(bank, what, code)):
        assert sorted(codes(changed)[0]) == sorted(codes(bank)[0])
        assert sorted(codes(changed)[1]) == sorted(codes(bank)[1])
        assert from_data(to_data(changed)) == changed


def test_retired_item_is_kept_and_can_be_restored() -> None:
    bank = plain_bank(2, 2, ask=1)
    retired = editing.retire(bank, "question", "r0-q0")
    assert [question.code for question in retired.live_questions] == ["r0-q1", "r1-q0", "r1-q1"]
    assert editing.retire(retired, "question", "r0-q0", retired=False) == bank
    assert [rule.code for rule in editing.retire(bank, "rule", "r1").live_rules] == ["r0"]
    with pytest.raises(KeyError):
        editing.retire(bank, "rule", "nothing")


def test_the_blueprint_names_the_rules_that_are_asked_every_time() -> None:
    bank = editing.put_blueprint(plain_bank(3, 1, ask=1, must=2), Blueprint(ask=3), ["r2"])
    assert bank.blueprint.ask == 3
    assert [rule.must_ask for rule in bank.rules] == [False, False, True]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Set the guard just above the wood.", "set-the-guard-just"),
        ("Élan: 3 mm!", "elan-3-mm"),
        ("…", "rule"),
        ("Tie hair back", "tie-hair-back-2"),
    ],
)
def test_a_code_is_made_from_the_first_words(text: str, code: str) -> None:
    assert editing.fresh_code(["tie-hair-back"], text, "rule") == code


@given(st.lists(st.text(max_size=30), max_size=6))
def test_codes_are_codes_and_differ(texts: list[str]) -> None:
    taken: list[str] = []
    for text in texts:
        taken.append(editing.fresh_code(taken, text, "rule"))
    assert len(set(taken)) == len(taken)
    bank = a_bank(rules=tuple(a_rule(code) for code in taken), questions=())
    assert from_data(to_data(bank)) == bank


# ---- what is different ----------------------------------------------------------------------------------------------


def test_unchanged_rule_set_has_no_differences() -> None:
    assert differences(a_bank(), a_bank()) == ()


def test_each_change_is_named_once() -> None:
    before = plain_bank(2, 2, ask=2)
    after = editing.retire(before, "question", "r0-q1")
    after = editing.retire(after, "rule", "r1")
    after = editing.put_question(after, a_one("r0-q0", "r0", asks="Another?"))
    after = editing.put_question(after, a_one("new", "r0", asks="New?"))
    after = editing.put_blueprint(after, Blueprint(ask=4), [])
    assert differences(before, after) == (
        Difference("changed", "blueprint", "", "Questions asked: 2 before, 4 now"),
        Difference("retired", "rule", "r1", "Set the guard just above the wood."),
        Difference("changed", "question", "r0-q0", "Another?", before.question_by_code["r0-q0"].asks),
        Difference("retired", "question", "r0-q1", "Where does the guard go?"),
        Difference("added", "question", "new", "New?"),
    )
    assert [change.how for change in differences(after, before)] == [
        "changed",
        "restored",
        "changed",
        "restored",
        "left out",
    ]
