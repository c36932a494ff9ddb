"""Intervals and what a perfect attempt proves, against published values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, binom, chi2
from scipy.stats import poisson as poisson_law

from quizzes.figures.rules.analysis import intervals
from quizzes.guessing.certainty import above_after_perfect, lower_bound


@pytest.mark.parametrize(("count", "bound"), [(10, 0.7411), (20, 0.8609), (29, 0.9019)])
def test_lower_bound_of_a_perfect_attempt(count: int, bound: float) -> None:
    assert lower_bound(count) == pytest.approx(bound, abs=5e-5)
    assert binom.sf(count - 1, count, lower_bound(count)) == pytest.approx(0.05)


def test_belief_after_a_perfect_attempt() -> None:
    assert above_after_perfect(28, 0.9) == pytest.approx(0.9529, abs=5e-5)
    assert above_after_perfect(28, 0.9) == pytest.approx(beta(29, 1).sf(0.9))


@pytest.mark.parametrize(
    ("hits", "count", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_interval(hits: int, count: int, low: float, high: float) -> None:
    """Newcombe 1998, Statistics in Medicine 17:857."""
    assert intervals.wilson(hits, count) == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize(
    ("first", "second", "low", "high"),
    [((56, 70), (48, 80), 0.0524, 0.3339), ((9, 10), (3, 10), 0.1705, 0.8090), ((5, 56), (0, 29), -0.0381, 0.1926)],
)
def test_interval_of_a_difference(first: tuple[int, int], second: tuple[int, int], low: float, high: float) -> None:
    """Newcombe 1998, Statistics in Medicine 17:873, table II, method 10 (values from memory)."""
    interval = intervals.difference((first[0], second[0]), (first[1], second[1]))
    assert interval == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize(("count", "low", "high"), [(0, 0, 3.6889), (1, 0.0253, 5.5716), (10, 4.7954, 18.3904)])
def test_exact_poisson_interval(count: int, low: float, high: float) -> None:
    assert intervals.garwood(count) == pytest.approx((low, high), abs=5e-5)
    assert intervals.garwood(count)[1] == pytest.approx(chi2.ppf(0.975, 2 * count + 2) / 2)
    assert poisson_law.cdf(count, intervals.garwood(count)[1]) == pytest.approx(0.025)


def test_incidents_per_thousand_hours() -> None:
    low, high = (1000 * bound / 5400 for bound in intervals.garwood(3))
    assert (low, high) == pytest.approx((0.1146, 1.6236), abs=5e-5)


def test_intervals_end_where_shares_and_counts_end() -> None:
    assert intervals.wilson(16, 16)[1] == 1.0, "a hair above 1 before it is cut"
    assert intervals.garwood(0)[0] == 0.0


@given(st.integers(1, 300).flatmap(lambda count: st.tuples(st.integers(0, count), st.just(count))))
def test_wilson_interval_of_an_array_is_that_of_each_share(case: tuple[int, int]) -> None:
    import numpy as np

    low, high = intervals.wilson_each(np.array([case[0]], float), np.array([case[1]], float))
    assert (low[0], high[0]) == pytest.approx(intervals.wilson(*case))


@pytest.mark.parametrize(
    ("hits", "count", "words"), [(9, 13, (4, 9)), (7, 13, (3, 8)), (31, 46, (5, 8)), (0, 46, (0, 1))]
)
def test_interval_in_tenths(hits: int, count: int, words: tuple[int, int]) -> None:
    assert intervals.in_ten(*intervals.wilson(hits, count)) == words


def test_correlation_interval_needs_four_pairs() -> None:
    assert intervals.correlation(0.5, 3) is None
    assert intervals.correlation(0.41, 46) == pytest.approx((0.136, 0.626), abs=1e-3)  # atanh ± 1.96/√43, by hand
