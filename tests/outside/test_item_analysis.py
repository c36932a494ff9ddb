"""Item analysis against published values, and against general-purpose packages on random answers."""

import csv
from importlib.resources import files

import girth
import numpy as np
import pandas as pd
import pingouin
import pytest
from girth.utilities import INVALID_RESPONSE
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import pointbiserialr
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint

from quizzes.figures.rules.analysis import flags
from quizzes.figures.rules.analysis.facts import Responses
from quizzes.figures.rules.analysis.items import analyse
from quizzes.figures.rules.response_files import read_responses
from tests.outside.lsat import LSAT6, answers
from tests.rules.quizzes.figures.matrices import responses_of, strings

WUENSCH = """
1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110
"""


def column(figures: object, name: str) -> list[float]:
    return [getattr(item, name) for item in figures.items]  # type: ignore[attr-defined]


def test_ten_by_ten_example() -> None:
    """K. Wuensch, East Carolina University, handout on KR-20: totals, p and the variance are printed there.

    The other values were computed from the same matrix with pingouin.
    """
    figures = analyse(strings(WUENSCH))
    assert (figures.n, figures.k, figures.mean) == (10, 10, pytest.approx(6.6))
    assert figures.variance == pytest.approx(5.84)
    assert column(figures, "p") == pytest.approx([0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6])
    assert figures.kr20 == pytest.approx(0.696347, abs=5e-7)
    assert figures.kr21 == pytest.approx(0.684170, abs=5e-7)
    r_pb = [0.7946, 0.7946, 0.2027, 0.6140, 0.7095, 0.4345, 0.1625, 0.7946, 0.0828, 0.6251]
    r_rest = [0.7059, 0.7059, 0, 0.4736, 0.5839, 0.2861, -0.0274, 0.7059, -0.1236, 0.4759]
    d27 = [0.8056, 0.8056, 0.3704, 0.3704, 0.8704, 0.4352, 0.1111, 0.8056, 0.1944, 0.6759]
    assert column(figures, "r_pb") == pytest.approx(r_pb, abs=5e-5)
    assert column(figures, "r_rest") == pytest.approx(r_rest, abs=5e-5)
    assert column(figures, "d27") == pytest.approx(d27, abs=5e-5)


def test_law_school_test_section_6() -> None:
    """Bock & Lieberman 1970, Psychometrika 35:179: the patterns. pingouin and girth agree on the rest."""
    figures = analyse(answers(LSAT6))
    assert (figures.n, figures.k) == (1000, 5)
    assert column(figures, "p") == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870])
    assert figures.kr20 == pytest.approx(0.294997, abs=5e-7)
    assert column(figures, "r_pb") == pytest.approx([0.3620, 0.5668, 0.6184, 0.5344, 0.4354], abs=5e-5)
    assert column(figures, "r_rest") == pytest.approx([0.1128, 0.1532, 0.1728, 0.1444, 0.1216], abs=5e-5)
    deleted = [0.2754, 0.2376, 0.2168, 0.2459, 0.2663]
    assert column(figures, "alpha_if_deleted") == pytest.approx(deleted, abs=5e-5)
    assert figures.livingston == pytest.approx(0.6939, abs=5e-5)
    assert (figures.huynh_p0, figures.huynh_kappa) == pytest.approx((0.6323, 0.1176), abs=5e-5)


def test_open_data_with_gaps() -> None:
    """The set cronbach_wide_missing that pingouin ships: 12 persons, 11 questions, four answers missing.

    Its documentation prints α = 0.732660835 with pairwise covariances, the value of R's psych::alpha(use="pairwise").
    """
    path = files("pingouin") / "datasets" / "cronbach_wide_missing.csv"
    figures = analyse(read_responses("cronbach_wide_missing.csv", path.read_bytes()))
    assert (figures.n, figures.k, figures.answers) == (12, 11, 128)
    assert figures.kr20 == pytest.approx(0.732660835214447, abs=1e-12)
    rows = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    assert column(figures, "n") == [sum(row[item.name] != "" for row in rows) for item in figures.items]


MATRIX = st.tuples(st.integers(3, 40), st.integers(3, 8), st.integers(0, 2**32 - 1), st.floats(0.2, 0.9))


def matrix(case: tuple[int, int, int, float], gaps: float = 0.0) -> Responses:
    persons, questions, seed, share = case
    dice = np.random.default_rng(seed)
    cells = (dice.random((persons, questions)) < share).astype(np.int8)
    return responses_of(np.where(dice.random(cells.shape) < gaps, -1, cells))


@given(MATRIX)
def test_reliability_agrees_with_pingouin(case: tuple[int, int, int, float]) -> None:
    answers, figures = matrix(case), analyse(matrix(case))
    if figures.kr20 is None:
        assert len(set(answers.cells.sum(axis=1))) == 1
        return
    assert figures.kr20 == pytest.approx(pingouin.cronbach_alpha(pd.DataFrame(answers.cells))[0])


@given(MATRIX, st.floats(0.05, 0.4))
def test_reliability_with_gaps_agrees_with_pingouin(case: tuple[int, int, int, float], gaps: float) -> None:
    answers = matrix(case, gaps)
    figures = analyse(answers)
    frame = pd.DataFrame(answers.cells).astype(float).replace(-1.0, np.nan)
    if figures.kr20 is not None:
        assert figures.kr20 == pytest.approx(pingouin.cronbach_alpha(frame)[0], rel=1e-6)
    else:
        covariances = frame.cov().to_numpy()
        assert np.isnan(covariances).any() or covariances.sum() <= 1e-9 or figures.reasons["kr20"]


@pytest.mark.parametrize("gaps", [0.0, 0.2, 0.3])
@pytest.mark.parametrize("seed", range(5))
def test_items_agree_with_girth(seed: int, gaps: float) -> None:
    """girth, too, takes the score on the other questions as the mean of those that were met."""
    answers = matrix((80, 12, seed, 0.7), gaps)
    figures = analyse(answers)
    report = girth.classical_test_statistics(np.where(answers.cells < 0, INVALID_RESPONSE, answers.cells.astype(int)).T)
    assert column(figures, "n") == list(report["Item Counts"])
    assert column(figures, "p") == pytest.approx(list(report["Mean"]))
    assert column(figures, "r_rest") == pytest.approx(list(report["Item-Score Correlation"]))
    if not gaps:
        assert column(figures, "alpha_if_deleted") == pytest.approx(list(report["Cronbach Alpha"]))


@given(MATRIX)
def test_correlations_agree_with_scipy(case: tuple[int, int, int, float]) -> None:
    answers = matrix(case)
    totals = answers.cells.sum(axis=1)
    for item, cells in zip(analyse(answers).items, answers.cells.T, strict=True):
        for r, score in ((item.r_pb, totals), (item.r_rest, totals - cells)):
            if len(set(cells)) > 1 and len(set(score)) > 1:
                assert r == pytest.approx(pointbiserialr(cells, score).statistic)
            else:
                assert r is None


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_interval_agrees_with_statsmodels(case: tuple[int, int]) -> None:
    from quizzes.figures.rules.analysis.intervals import wilson

    assert wilson(*case) == pytest.approx(proportion_confint(*case, method="wilson"), abs=1e-9)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=40))
def test_adjusted_p_values_agree_with_statsmodels(p_values: list[float]) -> None:
    rejected, adjusted, *_ = multipletests(p_values, alpha=flags.FALSE_SHARE, method="fdr_bh")
    ours = flags.adjusted(p_values)
    assert ours.tolist() == pytest.approx(adjusted.tolist())
    clear = np.abs(adjusted - flags.FALSE_SHARE) > 1e-9
    assert ((ours <= flags.FALSE_SHARE) == rejected)[clear].all()
