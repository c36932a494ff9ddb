"""Intervals of shares, of differences of shares and of counts; and what a perfect attempt proves. One place for all."""

import math
from collections.abc import Callable

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats

Z95 = 1.959963984540054  # the standard normal exceeds it with probability .025


def wilson(hits: int, count: int, z: float = Z95) -> tuple[float, float]:
    """Return the Wilson score interval of a share (Newcombe 1998, Statistics in Medicine 17:857, method 3)."""
    share = hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    return max(0.0, middle - half), min(1.0, middle + half)


def wilson_each(hits: Floats, counts: Floats, z: float = Z95) -> tuple[Floats, Floats]:
    """Return Wilson intervals for whole arrays; a count of 0 gives NaN, which the caller turns into None."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = hits / counts
        middle = (share + z * z / (2 * counts)) / (1 + z * z / counts)
        half = z / (1 + z * z / counts) * np.sqrt(share * (1 - share) / counts + z * z / (4 * counts * counts))
    return np.maximum(0.0, middle - half), np.minimum(1.0, middle + half)


def difference(hits: tuple[int, int], counts: tuple[int, int], z: float = Z95) -> tuple[float, float]:
    """Return the interval of share 1 less share 2, two independent groups (Newcombe 1998, ibid. 17:873, method 10)."""
    (first, second) = (hits[0] / counts[0], hits[1] / counts[1])
    (low1, high1), (low2, high2) = wilson(hits[0], counts[0], z), wilson(hits[1], counts[1], z)
    gap = first - second
    return gap - math.hypot(first - low1, high2 - second), gap + math.hypot(high1 - first, second - low2)


def correlation(r: float, count: int, z: float = Z95) -> tuple[float, float] | None:
    """Return the interval of a correlation by Fisher's z (Fisher 1921, Metron 1:3); None under four pairs."""
    if count < 4 or abs(r) >= 1:
        return None
    middle, half = math.atanh(r), z / math.sqrt(count - 3)
    return math.tanh(middle - half), math.tanh(middle + half)


def garwood(count: int, level: float = 0.95) -> tuple[float, float]:
    """Return the exact interval of a Poisson mean after `count` events (Garwood 1936, Biometrika 28:437)."""
    tail = (1 - level) / 2
    low = 0.0 if count == 0 else _solve(lambda mean: 1 - _poisson_at_most(count - 1, mean), tail)
    return low, _solve(lambda mean: -_poisson_at_most(count, mean), -tail)


def _poisson_at_most(count: int, mean: float) -> float:
    return math.fsum(math.exp(k * math.log(mean) - mean - math.lgamma(k + 1)) for k in range(count + 1))


def _solve(rising: Callable[[float], float], target: float) -> float:
    """Return where a rising function of a positive mean meets `target`, by halving."""
    low, high = 1e-12, 1.0
    while rising(high) < target:
        high *= 2
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < target else (low, middle)
    return (low + high) / 2


def in_ten(low: float, high: float) -> tuple[int, int]:
    """Return an interval of a share in tenths, rounded to the nearest, for "likely 4 to 9 in 10"."""
    return round(low * 10), round(high * 10)
