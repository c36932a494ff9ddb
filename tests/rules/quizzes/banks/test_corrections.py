"""Corrections of a starter bank, listed by rule, and what becomes of a school's own changes when it takes them."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.banks.corrections.rules import WHOLE, corrections_of, merged, notes_of, what_is_new
from quizzes.banks.rules.changes import HowChanged
from quizzes.banks.rules.data import from_data, to_data
from quizzes.facts import BankPicture, BankText, EditionText, Measure, Place, Spot, Value
from tests.factories.bank_texts import SQUARE, a_bank, a_one, a_rule

OLD_GAP = Value(code="gap", says="Gap", amount="1/8", unit="in", source="common practice")
NEW_GAP = replace(OLD_GAP, amount="1/16", bound="at most")
OLD_DRAWING, NEW_DRAWING = (BankPicture(digest=letter * 64, kind="svg", width=100, height=100) for letter in "ab")


def measure(rule: str = "gap", **more: Any) -> Measure:
    return Measure(code=f"{rule}-number", rule=rule, asks="How wide?", value="gap", **more)


def spot(rule: str, picture: str = "saw.svg") -> Spot:
    places = (Place(says="Left", points=SQUARE), Place(says="Right", points=SQUARE))
    return Spot(
        code=f"{rule}-spot", rule=rule, asks="Where?", picture=picture, picture_alt="A saw", places=places, right=1
    )


def bank(*rules: str, **more: Any) -> BankText:
    fields: dict[str, Any] = {
        "rules": tuple(a_rule(rule, says=f"Mind the {rule}.") for rule in rules),
        "questions": tuple(a_one(f"{rule}-1", rule, asks=f"What of the {rule}?") for rule in rules),
        "values": (),
    }
    return replace(a_bank(), **(fields | more))


def edition(text: BankText, **pictures: BankPicture) -> EditionText:
    return EditionText(bank=text, pictures={f"{name}.svg": picture for name, picture in pictures.items()})


def starter(value: Value = OLD_GAP, *, picture: BankPicture = OLD_DRAWING, **more: Any) -> EditionText:
    """Two rules, guard and gap; the gap has a number, both point at one drawing."""
    text = bank("guard", "gap")
    questions = (*text.questions, measure(), spot("guard"), spot("gap"))
    return edition(replace(text, values=(value,), questions=questions, **more), saw=picture)


def with_rule(text: EditionText, code: str, **more: Any) -> EditionText:
    rules = tuple(replace(rule, **more) if rule.code == code else rule for rule in text.bank.rules)
    return replace(text, bank=replace(text.bank, rules=rules))


def with_notes(text: EditionText, *rows: dict[str, str]) -> EditionText:
    return replace(text, bank=replace(text.bank, extras={**text.bank.extras, "correction": list(rows)}))


# ---- listed by rule ------------------------------------------------------------------------------------------


def test_changed_number_is_listed_under_the_rule_that_asks_for_it() -> None:
    (correction,) = corrections_of(starter(), starter(NEW_GAP), starter())
    assert correction.rule == "gap"
    assert [(change.how, change.what, change.code) for change in correction.differences] == [
        ("changed", "number to know", "gap")
    ]
    assert not correction.replaces_own


def test_added_and_removed_rules_are_listed() -> None:
    base, new = edition(bank("guard", "old")), edition(bank("guard", "new"))
    corrections = corrections_of(base, new, base)
    assert [(correction.rule, correction.how) for correction in corrections] == [
        ("new", HowChanged.ADDED),
        ("old", HowChanged.GONE),
    ]
    assert what_is_new(corrections) == "2 rules: 1 new, 1 given up"


def test_notes_are_listed_with_their_rule() -> None:
    note = {"rule": "gap", "says": "The gap is 1/16 in at most."}
    (correction,) = corrections_of(starter(), with_notes(starter(NEW_GAP), note), starter())
    assert correction.notes == ("The gap is 1/16 in at most.",)


def test_notes_of_an_earlier_correction_are_not_repeated() -> None:
    old, fresh = {"rule": "gap", "says": "Earlier."}, {"rule": "gap", "says": "Now."}
    (correction,) = corrections_of(
        with_notes(starter(), old), with_notes(starter(NEW_GAP), old, fresh), with_notes(starter(), old)
    )
    assert correction.notes == ("Now.",)


@pytest.mark.parametrize("rows", [None, "text", [1, {"rule": "gap"}, {"says": 3}]])
def test_notes_that_cannot_be_read_are_left_out(rows: Any) -> None:
    assert notes_of(replace(a_bank(), extras={"correction": rows})) == ()


def test_changed_quiz_settings_are_listed_for_the_whole_rule_set() -> None:
    base = starter()
    new = replace(base, bank=replace(base.bank, blueprint=replace(base.bank.blueprint, wait_minutes=99)))
    (correction,) = corrections_of(base, new, base)
    assert correction.rule == WHOLE
    assert what_is_new([correction]) == "the bank as a whole"


def test_changed_drawing_is_listed_under_its_first_rule() -> None:
    (correction,) = corrections_of(starter(), starter(picture=NEW_DRAWING), starter())
    assert correction.rule == "guard"


def test_change_that_the_school_already_has_is_not_listed() -> None:
    assert corrections_of(starter(), starter(NEW_GAP), starter(NEW_GAP)) == ()


def test_own_change_of_the_same_rule_is_marked() -> None:
    shop = with_rule(starter(), "gap", why="Ours.")
    (correction,) = corrections_of(starter(), with_rule(starter(), "gap", why="Theirs."), shop)
    assert correction.replaces_own


# ---- taken -----------------------------------------------------------------------------------------------------------


def test_only_the_chosen_rules_are_taken() -> None:
    base = starter()
    new = with_rule(with_rule(base, "guard", why="New."), "gap", why="New.")
    after = merged(base, new, base, {"gap"}).bank
    assert [rule.why == "New." for rule in after.rules] == [False, True]


def test_taking_nothing_changes_nothing() -> None:
    assert merged(starter(), starter(NEW_GAP), starter(), set()) == starter()


def test_taking_everything_gives_the_corrected_bank() -> None:
    base, new = edition(bank("guard", "old")), starter(NEW_GAP, picture=NEW_DRAWING)
    after = merged(base, new, base, {correction.rule for correction in corrections_of(base, new, base)})
    assert [rule for rule in after.bank.rules if not rule.retired] == list(new.bank.rules)
    assert after.bank.live_questions == new.bank.live_questions
    assert after.bank.values == new.bank.values
    assert after.pictures == new.pictures


def test_own_rules_and_changes_elsewhere_stay() -> None:
    own = a_rule("own", says="Mind our door.")
    shop = with_rule(starter(), "guard", why="Ours.")
    shop = replace(shop, bank=replace(shop.bank, rules=(own, *shop.bank.rules)))
    after = merged(starter(), starter(NEW_GAP), shop, {"gap"}).bank
    assert after.rule_by_code["guard"].why == "Ours."
    assert after.rule_by_code["own"] == own
    assert after.value_by_code["gap"] == NEW_GAP


def test_own_number_is_kept_in_the_corrected_value() -> None:
    shop = starter(replace(OLD_GAP, amount="3", unit="mm", source="manual, page 3"))
    value = merged(starter(), starter(NEW_GAP), shop, {"gap"}).bank.value_by_code["gap"]
    assert (value.reads, value.source, value.bound) == ("3 mm", "manual, page 3", "at most")


def test_own_number_gives_way_where_the_number_became_a_table() -> None:
    table = replace(OLD_GAP, amount="", table=(("thin", "1/16"), ("thick", "1/8")))
    shop = starter(replace(OLD_GAP, amount="3/32"))
    asked = replace(starter(table).bank, questions=(*bank("guard", "gap").questions, measure(row=1)))
    new = replace(starter(table), bank=asked)
    assert merged(starter(), new, shop, {"gap"}).bank.value_by_code["gap"] == table


def test_number_that_was_given_up_goes_with_its_question() -> None:
    new = replace(starter(), bank=replace(starter().bank, values=(), questions=bank("guard", "gap").questions))
    after = merged(starter(), new, starter(), {"gap", "guard"}).bank
    assert after.values == ()
    assert from_data(to_data(after)) == after


def test_removed_number_stays_when_an_own_question_asks_for_it() -> None:
    own = replace(measure(), code="own-number", rule="guard")
    shop = replace(starter(), bank=replace(starter().bank, questions=(*starter().bank.questions, own)))
    new = replace(starter(), bank=replace(starter().bank, values=(), questions=bank("guard", "gap").questions))
    after = merged(starter(), new, shop, {"gap"}).bank
    assert after.value_by_code["gap"] == OLD_GAP
    assert from_data(to_data(after)) == after


def test_rule_that_was_given_up_is_retired_not_deleted() -> None:
    base, new = edition(bank("guard", "old")), edition(bank("guard"))
    after = merged(base, new, base, {"old"}).bank
    assert after.rule_by_code["old"].retired
    assert [question.rule for question in after.live_questions] == ["guard"]


def test_changed_drawing_is_renamed_when_a_rule_keeps_the_old_one() -> None:
    new = starter(picture=NEW_DRAWING)
    moved = tuple(
        replace(question, right=2) if isinstance(question, Spot) and question.rule == "gap" else question
        for question in new.bank.questions
    )
    new = replace(new, bank=replace(new.bank, questions=moved))
    after = merged(starter(), new, starter(), {"gap"})
    shown = {
        question.rule: after.pictures[question.picture]
        for question in after.bank.questions
        if isinstance(question, Spot)
    }
    assert shown == {"guard": OLD_DRAWING, "gap": NEW_DRAWING}


@given(st.sets(st.sampled_from(["guard", "gap", "new", "old", WHOLE])))
def test_merged_bank_is_always_one_that_can_be_read(taken: set[str]) -> None:
    base = edition(replace(bank("guard", "gap", "old"), values=(OLD_GAP,)), saw=OLD_DRAWING)
    base = replace(base, bank=replace(base.bank, questions=(*base.bank.questions, measure(), spot("guard"))))
    new = edition(bank("guard", "new", "gap", values=(NEW_GAP,)), saw=NEW_DRAWING)
    new = replace(new, bank=replace(new.bank, questions=(*new.bank.questions, measure(), spot("gap"))))
    after = merged(base, new, base, taken)
    assert from_data(to_data(after.bank)) == after.bank
    assert {question.picture for question in after.bank.questions if isinstance(question, Spot)} <= set(after.pictures)
