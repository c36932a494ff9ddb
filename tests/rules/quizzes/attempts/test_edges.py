"""Where the rules of the quiz turn: the last number that still does, the first that doesn't, each sentence in full.

These are what is left of single changes to grading, assembly and guessing that no other test would notice
(`make mutation`; tests/mutation.md says what is left, and why).
"""

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from quizzes.facts import Blueprint, History, option_texts
from quizzes.guessing import chances
from quizzes.questions.assembly import assemble, lacking
from quizzes.questions.grading import is_right
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule, every_kind, plain_bank

NOTHING, HALF, QUARTER = Fraction(0), Fraction(1, 2), Fraction(1, 4)
SAYS = "Set the guard just above the wood."


def test_unknown_question_type_raises_an_error() -> None:
    with pytest.raises(AssertionError, match="unreachable"):
        is_right("text", 0, {})  # type: ignore[arg-type]
    with pytest.raises(AssertionError, match="unreachable"):
        chances.by_guessing("text")  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", ["q-one", "q-spot"])
def test_false_is_not_graded_as_place_zero(kind: str) -> None:
    """Python counts False as 0, which would be the key."""
    question = next(candidate for candidate in every_kind() if candidate.code == kind)
    assert is_right(question, 0, {GAP.code: GAP})
    assert not is_right(question, False, {GAP.code: GAP})


# ---- guessing -------------------------------------------------------------------------------------------------------


def test_chances_are_fractions_also_of_nothing() -> None:
    assert isinstance(chances.perfect_form(()), Fraction)
    assert isinstance(chances.same_form_told((), 1), Fraction)


@pytest.mark.parametrize(
    ("chance", "limit", "needed"),
    [
        (QUARTER, Fraction(1), 1),  # no limit at all, and still one question
        (Fraction(1, 20), Fraction(1, 20), 1),  # on the limit is within it
        (Fraction(1, 19), Fraction(1, 20), 2),
        (Fraction(9851, 10_000), Fraction(1, 20), 200),  # the last number that is tried
        (Fraction(98_517, 100_000), Fraction(1, 20), None),  # 201 would do
    ],
)
def test_questions_needed_at_its_edges(chance: Fraction, limit: Fraction, needed: int | None) -> None:
    assert chances.questions_needed(chance, NOTHING, 1, limit) == needed


def test_questions_needed_of_a_bank_at_its_edges() -> None:
    four = plain_bank(2, 1, ask=1)
    assert chances.questions_needed_of(four, NOTHING, 1, Fraction(1)) == 1
    assert chances.questions_needed_of(four, NOTHING, 1, QUARTER) == 1, "on the limit is within it"
    assert chances.questions_needed_of(plain_bank(19, 1, ask=1), Fraction(8, 10), 1) == 19, "with every question it has"


def test_one_try_unless_more_are_named() -> None:
    assert chances.slips(HALF, 1) == (HALF, HALF)


def test_easiest_form_takes_required_rules_first_then_the_easiest() -> None:
    questions = (
        a_one("m1", "must", wrong=("no",)),
        a_one("m2", "must", wrong=("no",)),
        a_one("a", "four"),
        *(replace(question, code=question.code) for question in every_kind("hard") if question.kind == "several"),
    )
    rules = (a_rule("must", must_ask=True), a_rule("hard"), a_rule("four"))
    bank = a_bank(rules=rules, questions=questions, ask=3)
    assert chances.easiest_form(bank, 2) == (HALF, QUARTER)
    assert chances.easiest_form(bank) == (HALF, QUARTER, Fraction(1, 15))
    assert chances.easiest_form(bank, 4) == (HALF, QUARTER, Fraction(1, 15), HALF)


# ---- assembly -------------------------------------------------------------------------------------------------------


def test_ids_are_of_one_length() -> None:
    rng = random.Random(5)
    forms = [assemble(plain_bank(3, 2, ask=6), History(), rng) for _ in range(40)]
    assert {len(option.id) for form in forms for line in form.lines for option in line.options} == {10}


def test_page_is_identical_for_one_seed_whichever_answer_is_right() -> None:
    texts = ("Just above the wood", "At the top", "On the left", "In the drawer")
    pages = set()
    for place in range(len(texts)):
        question = a_one(right=texts[place], wrong=texts[:place] + texts[place + 1 :])
        (line,) = assemble(a_bank(questions=(question,), ask=1), History(), random.Random(7)).lines
        pages.add(tuple((shown.id, option_texts(question)[shown.place]) for shown in line.options))
    assert len(pages) == 1


def test_shortfall_starts_at_one_missing_question() -> None:
    assert [short.lacks for short in lacking(plain_bank(1, 1, ask=1))] == [2]
    assert [(short.code, short.lacks) for short in lacking(plain_bank(1, 3, ask=4))] == [("too-few", 1)]
    assert not lacking(plain_bank(2, 3, ask=2, must=2)), "just enough room for what must be asked"


def sentences(bank: str) -> list[str]:
    return {
        "untested": [short.sentence for short in lacking(replace(plain_bank(1, 3, ask=1), rules=BARE))],
        "few": [short.sentence for short in lacking(plain_bank(1, 2, ask=1))],
        "fewer": [short.sentence for short in lacking(plain_bank(1, 1, ask=1))],
        "too few": [short.sentence for short in lacking(plain_bank(1, 3, ask=5))],
        "too small": [short.sentence for short in lacking(SMALL)],
        "again": [short.sentence for short in assemble(plain_bank(1, 1, ask=1), MISSED, random.Random(1)).shortfalls],
        "form": [short.sentence for short in assemble(plain_bank(1, 2, ask=3), MISSED, random.Random(1)).shortfalls],
    }[bank]


BARE = (*plain_bank(1, 3, ask=1).rules, a_rule("bare", must_ask=True))
SMALL = replace(plain_bank(3, 3, ask=1, must=3), blueprint=Blueprint(ask=1))
MISSED = History(seen={"r0-q0": 1}, missed_rules=("r0",), missed_questions=frozenset({"r0-q0"}))


@pytest.mark.parametrize(
    ("bank", "said"),
    [
        ("untested", [f"No question tests “{SAYS}” Write one."]),
        ("few", [f"“{SAYS}” lacks 1 question for a fresh form after a miss. It needs 3."]),
        ("fewer", [f"“{SAYS}” lacks 2 questions for a fresh form after a miss. It needs 3."]),
        ("too few", ["The quiz asks 2 questions more than there are. Write more, or ask fewer."]),
        ("too small", ["3 rules must be asked and the quiz asks 1. It will ask 3. Raise the number."]),
        (
            "again",
            [
                f"“{SAYS}” has no question but the missed one, so it is asked again. Write two more.",
                f"“{SAYS}” lacks 2 questions that this student has not seen. Write more.",
            ],
        ),
        (
            "form",
            [
                f"“{SAYS}” lacks 1 question that this student has not seen. Write more.",
                "The quiz asks 2 questions more than there are. Write more, or ask fewer.",
            ],
        ),
    ],
)
def test_shortfall_sentence_is_complete(bank: str, said: list[str]) -> None:
    assert sentences(bank) == said


def test_shortfall_of_the_whole_rule_set_names_no_rule() -> None:
    assert [short.rule for short in (*lacking(SMALL), *lacking(plain_bank(1, 3, ask=5)))] == ["", ""]
