"""Luck, against published and computed values, and against playing it out."""

import random
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.facts import AllThatApply, History, Order, Pair, Question, option_texts
from quizzes.guessing.chances import (
    Chance,
    by_guessing,
    easiest_form,
    in_words,
    order_of,
    pair_of,
    perfect_form,
    questions_needed,
    questions_needed_of,
    same_form_told,
    slips,
    within_tries,
)
from quizzes.questions.assembly import assemble
from quizzes.questions.grading import is_right
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule, every_kind, plain_bank, questions

FOUR = Fraction(1, 4)
K80 = Fraction(8, 10)


def test_each_kind() -> None:
    chance = {question.kind: by_guessing(question) for question in every_kind()}
    assert chance == {
        "one": Fraction(1, 4),
        "several": Fraction(1, 15),  # 2^4 − 1
        "order": Fraction(2, 24),  # 4!, two steps may change places
        "pair": Fraction(1, 6),  # 3!/1!
        "spot": Fraction(1, 3),
        "measure": Fraction(1, 16),
    }


def test_pairs_and_orders() -> None:
    assert order_of(4) == Fraction(1, 24)
    assert pair_of(4, 4) == Fraction(1, 24)
    assert pair_of(4, 6) == Fraction(1, 360)


@given(questions().filter(lambda question: question.kind != "measure"))
def test_the_chance_is_the_share_of_right_answers_among_all(question: Question) -> None:
    """Counted out: every answer the page accepts, graded."""
    places = range(len(option_texts(question)))
    match question:
        case AllThatApply():
            sizes = range(1, len(places) + 1)
            answers: list = [frozenset(ticked) for size in sizes for ticked in combinations(places, size)]
        case Order():
            answers = list(permutations(places))
        case Pair():
            answers = list(permutations(places, len(question.pairs)))
        case _:
            answers = list(places)
    right = sum(is_right(question, answer, {GAP.code: GAP}) for answer in answers)
    assert by_guessing(question) == Fraction(right, len(answers))


def test_ten_questions_of_four_options() -> None:
    assert float(perfect_form([FOUR] * 10)) == pytest.approx(9.5367e-7, rel=1e-4)


@pytest.mark.parametrize(("attempt", "chance"), [(2, 0.000977), (3, 0.0563), (4, 1.0), (5, 1.0)])
def test_the_same_form_with_verdicts_is_soon_certain(attempt: int, chance: float) -> None:
    """The reason for fresh forms and silent misses: (t/4)^10."""
    assert float(same_form_told([4] * 10, attempt)) == pytest.approx(chance, rel=1e-3)


@pytest.mark.parametrize(
    ("count", "once", "thrice"), [(10, 0.19687, 0.48198), (20, 0.03876, 0.11183), (30, 0.00763, 0.02272)]
)
def test_someone_who_knows_80_percent(count: int, once: float, thrice: float) -> None:
    perfect = perfect_form([FOUR] * count, K80)
    assert float(perfect) == pytest.approx(once, abs=5e-6)
    assert float(within_tries(perfect, 3)) == pytest.approx(thrice, abs=5e-6)


@pytest.mark.parametrize(("tries", "needed"), [(1, 19), (2, 23), (3, 26)])
def test_questions_needed(tries: int, needed: int) -> None:
    assert questions_needed(FOUR, K80, tries) == needed


def test_nothing_keeps_out_someone_who_knows_everything() -> None:
    assert questions_needed(FOUR, Fraction(1), 1) is None


def test_a_student_who_slips() -> None:
    fails, passes = slips(Fraction(98, 100), 20, 3)
    assert float(fails) == pytest.approx(0.33239, abs=5e-6)
    assert float(passes) == pytest.approx(0.96328, abs=5e-6)


# ---- a bank ---------------------------------------------------------------------------------------------------------


def test_the_easiest_form_of_a_bank() -> None:
    two = a_one("easy", "r1", wrong=("no",))
    bank = a_bank(rules=(a_rule("r0", must_ask=True), a_rule("r1")), questions=(*every_kind("r0"), two), ask=3)
    assert sorted(easiest_form(bank)) == [Fraction(1, 4), Fraction(1, 3), Fraction(1, 2)]
    assert easiest_form(bank, 1) == (Fraction(1, 3),)
    assert len(easiest_form(bank, 99)) == 7


def test_no_form_is_easier_than_the_easiest() -> None:
    bank = a_bank(
        rules=tuple(a_rule(f"r{n}", must_ask=n == 0) for n in range(3)),
        questions=tuple(
            replace(question, code=f"{question.code}-{n}", rule=f"r{n}") for n in range(3) for question in every_kind()
        ),
        ask=5,
    )
    bound = perfect_form(easiest_form(bank))
    for seed in range(200):
        form = assemble(bank, History(), random.Random(seed))
        chances = [by_guessing(bank.question_by_code[line.code]) for line in form.lines]
        assert perfect_form(chances) <= bound


def test_how_many_questions_a_bank_needs() -> None:
    bank = plain_bank(30, 1, ask=10)
    assert [questions_needed_of(bank, K80, tries) for tries in (1, 2, 3)] == [19, 23, 26]
    assert questions_needed_of(plain_bank(5, 2, ask=10), K80, 1) is None


def test_played_out() -> None:
    """20,000 guessers who know 80 % against 8 questions: within four standard errors of the exact chance."""
    rng, tries = random.Random(8), 20_000
    hits = sum(all(rng.random() < 0.8 or rng.randrange(4) == 0 for _ in range(8)) for _ in range(tries))
    exact = float(perfect_form([FOUR] * 8, K80))
    assert abs(hits / tries - exact) < 4 * (exact * (1 - exact) / tries) ** 0.5


@given(st.lists(st.fractions(0, 1), max_size=12), st.fractions(0, 1), st.integers(1, 6))
def test_more_tries_and_more_knowledge_never_help_less(chances: list, knows: Fraction, tries: int) -> None:
    perfect = perfect_form(chances, knows)
    assert 0 <= perfect_form(chances) <= perfect <= 1
    assert perfect <= within_tries(perfect, tries) <= within_tries(perfect, tries + 1) <= 1


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (Fraction(0), "never"),
        (Fraction(1), "every time"),
        (0.03876, "about once in 26"),
        (Fraction(1, 2), "about once in 2"),
        (0.89, "about 89 times in 100"),
        (9.5367e-7, "about once in 1,000,000"),
        (Fraction(1, 1234), "about once in 1,200"),
    ],
)
def test_chances_in_words(chance: Chance, words: str) -> None:
    assert in_words(chance) == words
