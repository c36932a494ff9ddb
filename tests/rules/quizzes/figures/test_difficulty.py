"""How hard questions are, in words."""

from dataclasses import replace

import numpy as np

from quizzes.facts import BankText
from quizzes.figures.rules.difficulty import DifficultyPage, difficulty_page
from tests.factories.bank_texts import a_bank, a_one, a_rule
from tests.rules.quizzes.figures.matrices import responses_of, simulated


def bank(questions: int = 24) -> BankText:
    """Questions q0 (the easiest) to q23, three for each rule: r0 has q0, q1, q2."""
    rules = tuple(a_rule(f"r{number}") for number in range(questions // 3))
    return a_bank(
        rules=rules, questions=tuple(a_one(f"q{j}", f"r{j // 3}", asks=f"Case {j}?") for j in range(questions))
    )


def test_hard_and_easy_questions_are_found_from_different_forms() -> None:
    answers, _ = simulated(1500, 24, 8, 4)
    page = difficulty_page(bank(), answers)
    harder = [row.question.code for row in page.harder]
    assert harder[0] in ("q22", "q23")
    assert {"q21", "q22", "q23"} <= set(harder)
    assert {"q0", "q1", "q2"} <= {row.question.code for row in page.easier}
    assert not set(harder) & {f"q{number}" for number in range(12)}
    assert len(page.harder) + len(page.easier) + page.usual == 24


def test_questions_that_do_not_differ_are_usual() -> None:
    dice = np.random.default_rng(3)
    ability = dice.normal(0.8, 1, (800, 1))
    cells = (dice.random((800, 12)) < 1 / (1 + np.exp(-ability))).astype(np.int8)
    page = difficulty_page(bank(12), responses_of(cells))
    assert (page.harder, page.easier, page.usual, page.uneven) == ((), (), 12, ())


def test_a_rule_with_an_easy_and_a_hard_question_is_named() -> None:
    answers, _ = simulated(2000, 24, 12, 5)
    text = bank()
    mixed = tuple(replace(q, rule="r0") if q.code == "q23" else q for q in text.questions)
    page = difficulty_page(replace(text, questions=mixed), answers)
    (uneven,) = [candidate for candidate in page.uneven if candidate.rule.code == "r0"]
    assert (uneven.hardest.code, uneven.easiest.code in ("q0", "q1", "q2")) == ("q23", True)


def test_sets_of_questions_are_compared() -> None:
    answers, _ = simulated(600, 24, 8, 6)
    page = difficulty_page(bank(), answers)
    assert page.hardest_set is not None
    assert page.easiest_set is not None
    assert page.hardest_set < page.easiest_set
    assert "right answers in ten are expected" in page.sets_words


def test_few_first_attempts_make_no_scale() -> None:
    answers, _ = simulated(49, 24, 8, 7)
    assert difficulty_page(bank(), answers) == DifficultyPage(
        attempts=49, reason="This page needs 50 first tries. There are 49."
    )


def test_answers_that_are_all_right_make_no_scale() -> None:
    page = difficulty_page(bank(), responses_of(np.ones((60, 24), np.int8)))
    assert "it needs two questions" in page.reason
