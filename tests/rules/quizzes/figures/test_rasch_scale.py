"""The Rasch scale where answers have gaps, where it has no answer, and how answers keep to it."""

import itertools
import math

import numpy as np
import pytest

from quizzes.figures.rules.analysis import rasch
from quizzes.figures.rules.analysis.rasch_fit import given_total, item_fits
from tests.rules.quizzes.figures.matrices import responses_of, simulated, strings


def test_questions_are_compared_though_students_met_others() -> None:
    answers, truth = simulated(3000, 24, 8, 4)
    model = rasch.fit(answers)
    fitted = np.array([item.difficulty for item in model.items])
    assert np.corrcoef(fitted, truth)[0, 1] > 0.99
    assert model.spread == pytest.approx(1.2, abs=0.15)


def test_a_form_of_hard_questions_is_not_held_against_them() -> None:
    """Half of the students meet the easy questions and half the hard ones, with four in common."""
    answers, truth = simulated(2000, 20, 20, 5)
    cells = answers.cells.copy()
    cells[:1000, 12:] = -1
    cells[1000:, :8] = -1
    model = rasch.fit(responses_of(cells))
    assert [item.difficulty for item in model.items] == pytest.approx(truth, abs=0.35)


def test_likelihood_is_at_its_top() -> None:
    answers, _ = simulated(200, 6, 4, 6)
    model = rasch._Model(answers.cells)
    best, ended = model.maximum()
    assert ended
    top = model.log_likelihood(best)
    for place, step in itertools.product(range(len(best)), (-0.05, 0.05)):
        moved = best.copy()
        moved[place] += step
        assert model.log_likelihood(moved) < top


def test_gradient_is_the_slope_of_the_likelihood() -> None:
    answers, _ = simulated(60, 5, 3, 7)
    model = rasch._Model(answers.cells)
    point = np.array([0.3, -0.2, 0.5, 0.0, 1.0, 0.8])
    gradient = model.downhill(point)[1]
    for place in range(len(point)):
        step = np.zeros(len(point))
        step[place] = 1e-5
        slope = (model.log_likelihood(point - step) - model.log_likelihood(point + step)) / 2e-5
        assert gradient[place] == pytest.approx(slope, rel=1e-5, abs=1e-6)


def test_likelihood_is_that_of_adding_up_by_hand() -> None:
    """Two questions, one student right at the first alone: integrated on a fine grid."""
    model = rasch._Model(strings("10").cells)
    grid = np.linspace(-8, 8, 4001)
    density = np.exp(-grid * grid / 2) / math.sqrt(2 * math.pi)
    first, second = 1 / (1 + np.exp(-(0.5 + grid))), 1 / (1 + np.exp(-(-0.25 + grid)))
    chance = float((first * (1 - second) * density).sum() * (grid[1] - grid[0]))
    assert model.log_likelihood(np.array([0.5, -0.25, 1.0])) == pytest.approx(math.log(chance), abs=1e-6)


def test_a_question_that_everyone_gets_right_has_no_place() -> None:
    model = rasch.fit(strings("101 110 100 111"))
    assert [item.difficulty is None for item in model.items] == [True, False, False]
    assert model.items[0].reason == "every answer is right"


def test_one_question_alone_makes_no_scale() -> None:
    model = rasch.fit(strings("10 11 10"))
    assert (model.spread, model.reason) == (None, rasch.FEW)
    assert all(item.difficulty is None and item.reason for item in model.items)


def test_a_file_of_a_million_answers_is_not_fitted() -> None:
    model = rasch.fit(responses_of(np.ones((3001, 1000), np.int8)))
    assert model.reason == "more than 400 questions or 3,000,000 cells"


def test_easy_forms_have_a_higher_expected_share() -> None:
    assert rasch.expected_share(np.array([0.0]), 1.0) == pytest.approx(0.5)
    assert rasch.expected_share(np.array([-2.0, -1.0]), 1.0) > rasch.expected_share(np.array([0.0, 1.0]), 1.0)


def test_difference_in_difficulty_is_significant_only_where_it_exists() -> None:
    answers, _ = simulated(1500, 12, 12, 8)
    model = rasch.fit(answers)
    p_value = rasch.equally_hard(model, ("q0", "q11"))
    assert p_value is not None
    assert p_value < 1e-6
    assert rasch.equally_hard(model, ("q3",)) is None
    assert (rasch.equally_hard(model, ("q5", "q6")) or 0) > 1e-4


def test_chances_given_the_total_agree_with_counting_every_pattern() -> None:
    easiness = np.array([0.5, 1.0, 2.0, 4.0])
    met = np.array([[True, True, True, True], [True, False, True, True]])
    for row, total in itertools.product(range(2), range(5)):
        places = np.flatnonzero(met[row])
        if total > len(places):
            continue
        patterns = list(itertools.combinations(places, total))
        weights = [math.prod(easiness[list(pattern)]) for pattern in patterns]
        fitted = given_total(met[row : row + 1], np.array([total]), easiness)[0]
        for place in range(4):
            inside = sum(w for pattern, w in zip(patterns, weights, strict=True) if place in pattern)
            assert fitted[place] == pytest.approx(inside / sum(weights))


def test_answers_by_the_model_fit_and_erratic_ones_do_not() -> None:
    answers, _ = simulated(1500, 20, 10, 9)
    cells = answers.cells.copy()
    coin = np.random.default_rng(1).integers(0, 2, len(cells))
    cells[:, 7] = np.where(cells[:, 7] >= 0, coin, -1)  # question 7 is answered by tossing a coin
    erratic = responses_of(cells)
    fits = item_fits(erratic, rasch.fit(erratic))
    worst = max(fits, key=lambda fit: fit.infit or 0)
    assert worst.name == "q7"
    assert (worst.infit_p or 1) < 1e-3
    others = [fit.infit or 0 for fit in fits if fit.name != "q7"]
    assert np.mean(others) == pytest.approx(1, abs=0.03)


def test_p_values_of_fit_are_even_when_the_model_holds() -> None:
    p_values = []
    for seed in range(10):
        answers, _ = simulated(600, 15, 10, 100 + seed)
        p_values += [fit.infit_p for fit in item_fits(answers, rasch.fit(answers)) if fit.infit_p is not None]
    assert np.mean(np.array(p_values) < 0.05) == pytest.approx(0.05, abs=0.04)
