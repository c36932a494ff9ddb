"""The sums that item analysis needs, in a few passes over the answers. All are float64 and, where answers have no gap,
whole numbers, so that no difference of two of them is blurred.

The score of a person on the questions other than j is (T − x_j)·(k − 1)/(a − 1): T right of the a questions asked,
brought to the k − 1 others of the test. Without gaps a = k, and it is T − x_j. Likewise the total is T·k/a.
A person who was asked one question alone has no score on others and is left out there, as `with_rest` counts.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from quizzes.figures.rules.analysis.facts import Bools, Floats, Ints, Responses

TAIL = 0.27  # Kelley 1939, Journal of Educational Psychology 30:17; the optimum is .2703


@dataclass(frozen=True, kw_only=True)
class Moments:
    """Sums over the persons who answered a question, of its answers x and of one score y, to correlate them."""

    n: Floats
    x: Floats
    y: Floats
    xy: Floats
    yy: Floats

    def correlation(self) -> Floats:
        """Return Pearson's r of x and y for each question; NaN where x or y does not vary. ddof cancels."""
        x_spread = self.n * self.x - self.x**2
        y_spread = self.n * self.yy - self.y**2
        flat = (x_spread <= 0) | (y_spread <= 1e-11 * np.maximum(self.n * self.yy, 1e-300))
        with np.errstate(divide="ignore", invalid="ignore"):
            r = (self.n * self.xy - self.x * self.y) / np.sqrt(x_spread * y_spread)
        return np.where(flat, np.nan, np.clip(r, -1.0, 1.0))

    @property
    def y_is_flat(self) -> Bools:
        """Return, for each question, whether all its persons have the same score y."""
        return self.n * self.yy - self.y**2 <= 1e-11 * np.maximum(self.n * self.yy, 1e-300)


class Answers:
    """The answers as numbers, and the sums over them, each worked out once."""

    def __init__(self, responses: Responses) -> None:
        cells = responses.cells
        self.n, self.k = cells.shape
        self.complete = not cells.size or bool(cells.min() >= 0)
        self.x: Floats = cells.astype(np.float64) if self.complete else (cells == 1).astype(np.float64)
        self.met: Floats | None = None if self.complete else (cells >= 0).astype(np.float64)

    @cached_property
    def asked(self) -> Floats:
        """How many questions each person answered."""
        return np.full(self.n, float(self.k)) if self.met is None else self.met @ np.ones(self.k)

    @cached_property
    def totals(self) -> Floats:
        """How many each person got right."""
        return self.x @ np.ones(self.k)

    @cached_property
    def takers(self) -> Floats:
        """How many persons answered each question."""
        return np.full(self.k, float(self.n)) if self.met is None else np.ones(self.n) @ self.met

    @cached_property
    def right(self) -> Floats:
        """How many persons got each question right."""
        return np.ones(self.n) @ self.x

    @cached_property
    def shares(self) -> Floats:
        """The share of each person's own questions that is right; 0 for someone who answered none."""
        return self.totals / np.maximum(self.asked, 1.0)

    @cached_property
    def p(self) -> Floats:
        """The share right of each question; NaN where no one answered it."""
        with np.errstate(invalid="ignore"):
            return self.right / np.where(self.takers > 0, self.takers, np.nan)

    @cached_property
    def _weights(self) -> dict[str, Floats]:
        """What each person counts for in the sums below: one row a kind of sum, so that one product makes them all."""
        lower, upper = self.tails()
        if self.complete:
            return {"y": self.totals, "yy": self.totals * self.totals, "lower": lower, "upper": upper}
        counted = (self.asked > 1).astype(np.float64)
        part = counted / np.maximum(self.asked - 1, 1.0)
        base = self.totals * part
        return {
            "y": self.shares,
            "yy": self.shares * self.shares,
            "lower": lower,
            "upper": upper,
            "counted": counted,
            "rest": base,
            "rest²": base * base,
            "own": part,  # what being right at the question itself takes off the rest, and off its square
            "own²": 2 * base * part - part * part,
        }

    @cached_property
    def over_met(self) -> dict[str, Floats]:
        """Σ of each weight over the persons who met a question, for each question."""
        names, rows = list(self._weights), np.stack(list(self._weights.values()))
        if self.met is None:
            sums = np.repeat(rows.sum(axis=1)[:, None], self.k, axis=1)
        else:
            sums = rows @ self.met
        return dict(zip(names, sums, strict=True))

    @cached_property
    def over_right(self) -> dict[str, Floats]:
        """Σ of each weight over the persons who got a question right, for each question."""
        return dict(zip(self._weights, np.stack(list(self._weights.values())) @ self.x, strict=True))

    def with_total(self) -> Moments:
        """Return the sums of each question with the total score."""
        met = self.over_met
        return Moments(n=self.takers, x=self.right, y=met["y"], xy=self.over_right["y"], yy=met["yy"])

    def with_rest(self) -> Moments:
        """Return the sums of each question with the score on the others, in parts of that score."""
        met, right = self.over_met, self.over_right
        if self.complete:
            return Moments(
                n=self.takers,
                x=self.right,
                y=met["y"] - self.right,
                xy=right["y"] - self.right,
                yy=met["yy"] - 2 * right["y"] + self.right,
            )
        return Moments(
            n=met["counted"],
            x=right["counted"],
            y=met["rest"] - right["own"],
            xy=right["rest"] - right["own"],
            yy=met["rest²"] - right["own²"],
        )

    @cached_property
    def levels(self) -> tuple[Ints, Floats]:
        """The level of each person's share, from 0 upward, −1 without an answer; and the persons at each level."""
        codes = (self.asked * (self.k + 1) + self.totals).astype(np.int64)
        sizes = np.bincount(codes, minlength=(self.k + 1) ** 2)
        asked, right = np.divmod(np.flatnonzero(sizes), self.k + 1)
        # Equal shares are equal floats, because division rounds correctly: 1/2 and 2/4 are one level.
        shares, level = np.unique(right[asked > 0] / asked[asked > 0], return_inverse=True)
        places = np.full(len(sizes), -1, np.int64)
        places[np.flatnonzero(sizes)[asked > 0]] = level
        persons = np.bincount(level, weights=sizes[np.flatnonzero(sizes)[asked > 0]], minlength=len(shares))
        return places[codes], persons.astype(np.float64)

    def tails(self) -> tuple[Floats, Floats]:
        """Return each person's weight in the lower and the upper 27 % by share right; ties at the edge share evenly."""
        level, persons = self.levels
        lower, upper = tail(persons), tail(persons[::-1])[::-1]
        return np.append(lower, 0.0)[level], np.append(upper, 0.0)[level]


def tail(persons: Floats) -> Floats:
    """Return how much of each level lies in the first 27 % of all persons: 1, 0, or a part at the edge."""
    room = TAIL * persons.sum() - (np.cumsum(persons) - persons)
    return np.clip(room / persons, 0.0, 1.0)
