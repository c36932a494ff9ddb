"""What a perfect attempt proves: assumed while little is known, measured after."""

import itertools

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import beta as beta_law
from scipy.stats import betabinom

from quizzes.guessing.certainty import ENOUGH, Score, above_after_perfect, certainty, sure


def scores(students: int, alpha: float, beta: float, asked: int = 10) -> list[Score]:
    """As many students at each score as a beta-binomial expects."""
    law = betabinom(asked, alpha, beta)
    return [Score(asked, right, round(students * law.pmf(right))) for right in range(asked + 1)]


def test_an_even_prior_is_assumed_until_enough_is_known() -> None:
    estimate = certainty(20, scores(ENOUGH // 2, 8, 2))
    assert (estimate.measured, estimate.alpha, estimate.beta) == (False, 1, 1)
    assert estimate.reason == "fewer than 200 first attempts"
    assert estimate.quiz.knows == pytest.approx(above_after_perfect(20, 0.9))
    assert estimate.quiz.careful_slips == pytest.approx(0.33239, abs=5e-6)
    assert estimate.quiz.at_least == pytest.approx(0.8609, abs=5e-5)


def test_scores_are_measured_once_there_are_enough() -> None:
    estimate = certainty(20, scores(4000, 8, 2))
    assert estimate.measured
    assert (estimate.alpha, estimate.beta) == pytest.approx((8, 2), rel=0.03)


@pytest.mark.parametrize(("questions", "alpha", "beta"), [(10, 1.0, 1.0), (20, 8.0, 2.0), (5, 3.0, 0.5)])
def test_figures_agree_with_integration(questions: int, alpha: float, beta: float) -> None:
    law = beta_law(alpha, beta)
    passes = quad(lambda share: share**questions * law.pdf(share), 0, 1)[0]
    good = quad(lambda share: share**questions * law.pdf(share), 0.9, 1)[0]
    estimate = sure(questions, alpha, beta)
    assert estimate.passes == pytest.approx(passes, rel=1e-6)
    assert estimate.knows == pytest.approx(good / passes, rel=1e-6)
    assert estimate.slips == pytest.approx(1 - good / law.sf(0.9), rel=1e-6)


def test_a_longer_quiz_proves_more_and_fails_more_good_students() -> None:
    lengths = certainty(20, scores(1000, 8, 2)).lengths
    assert [length.questions for length in lengths] == [5, 10, 15, 20, 25, 30]
    for shorter, longer in itertools.pairwise(lengths):
        assert shorter.knows < longer.knows
        assert shorter.slips < longer.slips


def test_a_length_of_its_own_stands_among_the_others() -> None:
    assert [length.questions for length in certainty(12).lengths] == [5, 10, 12, 15, 20, 25, 30]


def test_students_who_do_not_differ_give_no_measured_distribution() -> None:
    """Every student right with chance .8: the spread of scores is that of luck alone."""
    dice = np.random.default_rng(2)
    counts = np.bincount(dice.binomial(10, 0.8, 500), minlength=11)
    estimate = certainty(20, [Score(10, right, int(n)) for right, n in enumerate(counts)])
    assert estimate.measured is (estimate.reason == "")
    if estimate.measured:
        assert estimate.alpha + estimate.beta > 50
    everyone = certainty(20, [Score(10, 10, 500)])
    assert not everyone.measured
