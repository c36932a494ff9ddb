"""How far a whole test can be relied on: KR-20 and KR-21, the error of a score, and agreement at "all right".

Every variance here is that of a population (ddof 0); KR-20 from sample variances would be too high. Where answers have
gaps, each covariance is taken over the persons who met both questions (pairwise), with ddof 1, so that few persons do
not pull it down; without gaps the two ways agree to the last digit, because the factor n/(n − 1) cancels.
"""

import math
from dataclasses import dataclass

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats
from quizzes.figures.rules.analysis.sums import Answers
from shopsafe.language.messages import marked

ALL_SAME = marked("every total is the same")
FEW_QUESTIONS = marked("it needs two questions or more")
FEW_QUESTIONS_LEFT = marked("it needs three questions or more")
NOT_TOGETHER = marked("some two questions were not answered together by two persons")
NO_ANSWERS = marked("no answers")
OUT_OF_RANGE = marked("the answers are too uneven to carry it")


@dataclass(frozen=True)
class Spread:
    """How the questions vary together."""

    variance: float | None  # of the total over all k questions, ddof 0
    kr20: float | None
    deleted: Floats  # α without each question; NaN where there is none
    reason: str = ""


def spread_of(answers: Answers) -> Spread:
    """Return the variance of the total, KR-20 (Kuder & Richardson 1937, Psychometrika 2:151) and α if deleted."""
    nothing = np.full(answers.k, np.nan)
    if not answers.n or not answers.k or not answers.takers.all():
        return Spread(None, None, nothing, NO_ANSWERS)
    if answers.complete:
        return _spread_without_gaps(answers)
    assert answers.met is not None  # noqa: S101  for the type checker: there are gaps
    met, right = answers.met.astype(np.float32), answers.x.astype(np.float32)  # counts below 2^24 are exact in these
    both = (met.T @ met).astype(np.float64)
    if both.min() < 2:
        return Spread(None, None, nothing, NOT_TOGETHER)
    right_met, right_both = (right.T @ met).astype(np.float64), (right.T @ right).astype(np.float64)
    covariance = right_both / both - (right_met / both) * (right_met.T / both)
    sample = covariance * both / (both - 1)
    rows = sample.sum(axis=1)
    return _spread(float(covariance.sum()), float(sample.sum()), np.diag(sample), rows, answers.k, flat=False)


def _spread_without_gaps(answers: Answers) -> Spread:
    n, right, totals = answers.n, answers.right, answers.totals
    total = float(totals.sum())
    variance = float(n * (totals @ totals) - total * total) / n**2
    items = (n * right - right**2) / n**2
    rows = (n * answers.over_right["y"] - right * total) / n**2
    return _spread(variance, variance, items, rows, answers.k, flat=True)


def _spread(variance: float, total: float, items: Floats, rows: Floats, k: int, *, flat: bool) -> Spread:
    """`total` = Σ of all covariances, `items` the variances, `rows` each question's covariance with the total.

    No variance means equal totals where there are no gaps (`flat`); else the pairs contradict each other.
    """
    deleted = _deleted(total, items, rows, k)
    if total <= 1e-12 or variance <= 1e-12:
        return Spread(0.0 if flat else None, None, deleted, ALL_SAME if flat else OUT_OF_RANGE)
    if k < 2:
        return Spread(variance, None, deleted, FEW_QUESTIONS)
    return Spread(variance, k / (k - 1) * (1 - float(items.sum()) / total), deleted)


def _deleted(total: float, items: Floats, rows: Floats, k: int) -> Floats:
    """Return KR-20 of the test without each question; NaN where the others do not vary or are fewer than two."""
    if k < 3:
        return np.full(k, np.nan)
    rest = total - 2 * rows + items
    with np.errstate(divide="ignore", invalid="ignore"):
        deleted = (k - 1) / (k - 2) * (1 - (items.sum() - items) / rest)
    return np.where(rest > 1e-12, deleted, np.nan)


def kr21(mean: float, variance: float, k: int) -> float | None:
    """Return KR-21 = k/(k−1)·(1 − μ(k−μ)/(kσ²)), σ² of the population: KR-20 if all questions were equally hard."""
    if k < 2 or variance <= 1e-12:
        return None
    return k / (k - 1) * (1 - mean * (k - mean) / (k * variance))


def standard_error(variance: float, reliability: float) -> float | None:
    """Return the standard error of measurement σ√(1 − r), in questions right."""
    return math.sqrt(variance * (1 - reliability)) if reliability <= 1 else None


def livingston(mean: float, variance: float, reliability: float, cut: float) -> float | None:
    """Return K² = (rσ² + (μ−C)²)/(σ² + (μ−C)²): reliability about a cut (Livingston 1972, J. Educ. Meas. 9:13)."""
    away = (mean - cut) ** 2
    return (reliability * variance + away) / (variance + away) if variance + away > 0 else None


@dataclass(frozen=True)
class Agreement:
    """How often two tests of the same make would decide alike on "all right", and how far beyond chance."""

    p0: float
    kappa: float | None


def huynh(mean: float, reliability21: float, k: int) -> Agreement | None:
    """Return the agreement of two forms at the cut k from the beta-binomial (Huynh 1976, J. Educ. Meas. 13:253).

    α = (1/KR21 − 1)·μ, β = (1/KR21 − 1)·(k − μ). None unless 0 < KR-21 < 1 and 0 < μ < k.
    """
    if not 0 < reliability21 < 1 or not 0 < mean < k:
        return None
    scale = 1 / reliability21 - 1
    alpha, beta = scale * mean, scale * (k - mean)
    once = math.exp(_log_beta(alpha + k, beta) - _log_beta(alpha, beta))
    twice = math.exp(_log_beta(alpha + 2 * k, beta) - _log_beta(alpha, beta))
    chance = once - once * once
    return Agreement(1 - 2 * (once - twice), (twice - once * once) / chance if chance > 0 else None)


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def lengthened(reliability: float, times: float) -> float | None:
    """Return the reliability of a test `times` as long (Spearman 1910 and Brown 1910, Brit. J. Psychol. 3:271, 296)."""
    below = 1 + (times - 1) * reliability
    return times * reliability / below if below > 0 else None
