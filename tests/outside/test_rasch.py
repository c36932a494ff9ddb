"""The Rasch scale against published estimates, and against a general-purpose package."""

import girth
import numpy as np
import pytest

from quizzes.figures.rules.analysis import rasch
from tests.outside.lsat import LSAT6, LSAT7, answers
from tests.rules.quizzes.figures.matrices import simulated


def test_law_school_test_section_6() -> None:
    """Rizopoulos 2006, Journal of Statistical Software 17(5), pp. 10–11, prints for these answers: log-likelihood
    −2466.938, difficulties −3.6153 −1.3224 −0.3176 −1.7301 −2.7802 where abilities have deviation 1, slope 0.7551 with
    standard error 0.0694. Our scale has slope 1, so its difficulties are those times the slope."""
    model = rasch.fit(answers(LSAT6))
    assert model.log_likelihood == pytest.approx(-2466.938, abs=5e-4)
    assert (model.spread, model.spread_se) == pytest.approx((0.7551, 0.0694), abs=5e-5)
    scaled = [item.difficulty / model.spread for item in model.items]  # type: ignore[operator]
    assert scaled == pytest.approx([-3.6153, -1.3224, -0.3176, -1.7301, -2.7802], abs=1e-4)


def test_law_school_test_section_7() -> None:
    """Thissen 1982, Psychometrika 47:175, fits section 7 too. Easiness 1.868 0.791 1.461 0.521 1.993, variance 1.022:
    from memory, as general packages print them."""
    model = rasch.fit(answers(LSAT7))
    easiness = [-(item.difficulty or 0) for item in model.items]
    assert easiness == pytest.approx([1.868, 0.791, 1.461, 0.521, 1.993], abs=1e-3)
    assert (model.spread or 0) ** 2 == pytest.approx(1.022, abs=1e-3)


@pytest.mark.parametrize("counts", [LSAT6, LSAT7])
def test_difficulties_agree_with_girth(counts: str) -> None:
    """girth fits abilities of deviation 1 and one slope for all questions; slope × difficulty is on our scale."""
    cells = answers(counts).cells
    other = girth.onepl_mml(cells.T)
    model = rasch.fit(answers(counts))
    ours = [item.difficulty for item in model.items]
    assert ours == pytest.approx(list(other["Difficulty"] * other["Discrimination"]), abs=2e-3)
    assert model.spread == pytest.approx(float(other["Discrimination"]), abs=2e-3)


def test_conditional_estimates_of_girth_lie_within_standard_errors() -> None:
    """Conditional maximum likelihood assumes nothing about abilities; only differences between questions compare."""
    other = girth.rasch_conditional(answers(LSAT7).cells.T)["Difficulty"]
    model = rasch.fit(answers(LSAT7))
    ours = np.array([item.difficulty for item in model.items])
    errors = np.array([item.se for item in model.items])
    gaps = (ours - ours.mean()) - (other - other.mean())
    assert (np.abs(gaps) < errors).all()


def test_standard_errors_cover_the_truth_as_often_as_they_say() -> None:
    """Forms of 8 from 24 questions, twenty schools of 400 students: about 95 in 100 intervals hold the difficulty."""
    hits = []
    for seed in range(20):
        answers_of_school, truth = simulated(400, 24, 8, seed)
        for item, difficulty in zip(rasch.fit(answers_of_school).items, truth, strict=True):
            assert item.difficulty is not None
            assert item.se is not None
            hits.append(abs(item.difficulty - difficulty) < 1.96 * item.se)
    assert 0.92 < np.mean(hits) < 0.98
