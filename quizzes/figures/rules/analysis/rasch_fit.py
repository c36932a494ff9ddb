"""Whether answers keep to the Rasch model: infit and outfit of each question, conditional on the total.

Under the model the chance of being right at question j, given the total on the questions met, does not depend on the
student's ability: it is ε_j·γ_{r−1}(others)/γ_r(all), with ε = exp(−b) and γ the elementary symmetric functions
(Andersen 1972, J. R. Stat. Soc. B 34:42). So residuals need no estimate of ability, and both mean squares have mean 1
under the model. Their variance is worked out answer by answer.
"""

import math
from dataclasses import dataclass

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats, Responses
from quizzes.figures.rules.analysis.rasch import RaschFit
from shopsafe.language.messages import marked

ROWS = 256  # persons at a time: keeps the tables of symmetric functions small
LONGEST = 400  # questions: beyond them the symmetric functions leave the range of a float
NOT_ON_SCALE = marked("it has no place on the scale")
TOO_LONG = marked("the test is too long")
NOTHING_LEFT = marked("every student got all or none of their questions right")


@dataclass(frozen=True, kw_only=True)
class ItemFit:
    """Mean squares near 1 keep to the model; above 1 answers are more erratic, below 1 more regular than it says."""

    name: str
    n: int  # answers that can tell: of students with some right and some wrong
    infit: float | None
    infit_p: float | None  # two-sided, normal approximation
    outfit: float | None
    outfit_p: float | None
    reason: str = ""


def item_fits(responses: Responses, model: RaschFit) -> tuple[ItemFit, ...]:
    """Return infit and outfit of each question that has a place on the scale."""
    placed = [place for place, item in enumerate(model.items) if item.difficulty is not None]
    if not placed or len(placed) > LONGEST:
        why = TOO_LONG if placed else model.reason
        return tuple(_nothing(name, why) for name in responses.names)
    easiness = np.exp([-float(model.items[place].difficulty or 0.0) for place in placed])
    sums = np.zeros((6, len(placed)))
    cells = responses.cells[:, placed]
    for start in range(0, len(cells), ROWS):
        sums += _sums(cells[start : start + ROWS], easiness)
    by_place = dict(zip(placed, sums.T, strict=True))
    return tuple(
        _item_fit(name, by_place[place]) if place in by_place else _nothing(name, NOT_ON_SCALE)
        for place, name in enumerate(responses.names)
    )


def _nothing(name: str, reason: str) -> ItemFit:
    return ItemFit(name=name, n=0, infit=None, infit_p=None, outfit=None, outfit_p=None, reason=reason)


def _sums(cells: np.ndarray[tuple[int, int], np.dtype[np.int8]], easiness: Floats) -> Floats:
    """Return, for each question: answers, Σ(x−π)², Σv, Σ(v − 4v²), Σ(x−π)²/v and Σ(1/v − 4), with v = π(1−π)."""
    met = cells >= 0
    chances = given_total(met, (cells == 1).sum(axis=1), easiness)
    v = chances * (1 - chances)
    tells = met & (v > 1e-9)
    v = np.where(tells, v, 1.0)
    squared = np.where(tells, ((cells == 1) - chances) ** 2, 0.0)
    counted = tells.astype(np.float64)
    parts = (counted, squared, counted * v, counted * (v - 4 * v * v), squared / v, counted * (1 / v - 4))
    return np.stack([part.sum(axis=0) for part in parts])


def given_total(
    met: np.ndarray[tuple[int, int], np.dtype[np.bool_]],
    totals: np.ndarray[tuple[int], np.dtype[np.int64]],
    easiness: Floats,
) -> Floats:
    """Return the chance of right at each question met, given the number right: persons × questions, 0 where not met."""
    weights = np.where(met, easiness, 0.0)
    n, k = weights.shape
    before = np.zeros((k + 1, n, k + 1))  # symmetric functions of the questions before j
    after = np.zeros((k + 1, n, k + 1))  # and of those from j on
    before[0, :, 0] = after[k, :, 0] = 1.0
    for j in range(k):
        before[j + 1] = before[j]
        before[j + 1, :, 1:] += weights[:, j, None] * before[j, :, :-1]
        back = k - 1 - j
        after[back] = after[back + 1]
        after[back, :, 1:] += weights[:, back, None] * after[back + 1, :, :-1]
    rows = np.arange(n)
    whole = before[k][rows, totals]
    turned = np.arange(k + 1)
    places = totals[:, None] - 1 - turned  # Σ over s of before_s · after_{r−1−s}
    inside = places >= 0
    chances = np.zeros((n, k))
    for j in range(k):
        others = np.where(inside, after[j + 1][rows[:, None], np.maximum(places, 0)], 0.0)
        chances[:, j] = weights[:, j] * (before[j] * others).sum(axis=1) / whole
    return chances


def _item_fit(name: str, sums: Floats) -> ItemFit:
    count, squared, v, infit_variance, outfit, outfit_variance = sums.tolist()
    if count < 2:
        return _nothing(name, NOTHING_LEFT)
    return ItemFit(
        name=name,
        n=int(count),
        infit=squared / v,
        infit_p=_two_sided(squared / v - 1, math.sqrt(max(infit_variance, 0.0)) / v),
        outfit=outfit / count,
        outfit_p=_two_sided(outfit / count - 1, math.sqrt(max(outfit_variance, 0.0)) / count),
    )


def _two_sided(gap: float, error: float) -> float | None:
    return math.erfc(abs(gap) / error / math.sqrt(2)) if error > 0 else None
