"""A small integer program: variables, linear limits and a goal, solved exactly by HiGHS through scipy.

scipy takes a third of a second to import, so only a solve imports it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

MOST_VARIABLES = 60_000  # a school's largest class in its largest shop stays far below


@dataclass(frozen=True, slots=True)
class Solution:
    """An answer of the solver for a goal to be made as large as possible.

    values   one whole number for each variable, or None if the time ran out before any was found
    bound    no answer is above it; None if the time ran out before the solver had one
    proven   nothing better exists
    feasible False only if it is certain that no answer exists at all
    """

    values: tuple[int, ...] | None
    bound: float | None
    proven: bool
    feasible: bool = True


class Program:
    """Whole-number variables from 0 to an upper limit, and rows that limit sums of them."""

    def __init__(self) -> None:
        self.upper: list[float] = []
        self.lower: list[float] = []
        self._row: list[int] = []
        self._column: list[int] = []
        self._factor: list[float] = []
        self._least: list[float] = []
        self._most: list[float] = []

    def variable(self, *, upper: float = 1, lower: float = 0) -> int:
        """Return the place of a new variable."""
        if len(self.upper) >= MOST_VARIABLES:
            raise ValueError(f"more than {MOST_VARIABLES} choices: plan a smaller class or fewer slots")
        self.upper.append(upper)
        self.lower.append(lower)
        return len(self.upper) - 1

    def limit(self, terms: Mapping[int, float], *, least: float = -inf, most: float = inf) -> None:
        """Keep the sum of `terms` (variable → factor) from `least` to `most`."""
        row = len(self._least)
        for column, factor in terms.items():
            self._row.append(row)
            self._column.append(column)
            self._factor.append(factor)
        self._least.append(least)
        self._most.append(most)

    def solve(self, goal: Mapping[int, float], seconds: float) -> Solution:
        """Make the sum of `goal` as large as possible. Ends after `seconds` with the best found so far."""
        if not self.upper:
            return Solution((), 0, proven=True)
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        costs = np.zeros(len(self.upper))
        for column, worth in goal.items():
            costs[column] = -worth
        rows = []
        if self._least:
            shape = (len(self._least), len(self.upper))
            matrix = csr_array((self._factor, (self._row, self._column)), shape=shape)
            rows = [LinearConstraint(matrix, self._least, self._most)]
        result = milp(
            costs,
            integrality=np.ones(len(self.upper)),
            bounds=Bounds(np.array(self.lower, float), np.array(self.upper, float)),
            constraints=rows,
            options={"time_limit": max(seconds, 0), "mip_rel_gap": 0},
        )
        return _solution(result)


def _solution(result: Any) -> Solution:
    """Read scipy's result: status 0 is optimal, 1 the time limit, 2 infeasible."""
    values = None if result.x is None else tuple(round(value) for value in result.x)
    bound = getattr(result, "mip_dual_bound", None)
    return Solution(
        values,
        None if bound is None or not -inf < bound < inf else -float(bound),
        proven=result.status == 0,
        feasible=result.status != 2,
    )
