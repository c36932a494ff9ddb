"""What item analysis works on and what it returns: answers as a matrix, figures with the reason where one is missing.

Answers may have gaps, because each student meets other questions. A figure that the answers can't carry is None, and
`reasons` says why. No figure is ever NaN or infinite.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Cells = NDArray[np.int8]
Codes = NDArray[np.int16]
Bools = NDArray[np.bool_]
Words = NDArray[np.str_]

NOT_ASKED = -1
NO_REASONS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, kw_only=True)
class Responses:
    """Right and wrong answers: one row a person, one column a question."""

    names: tuple[str, ...]  # of the questions
    cells: Cells  # 1 right, 0 wrong, NOT_ASKED

    def __post_init__(self) -> None:
        if self.cells.ndim != 2 or self.cells.shape[1] != len(self.names):
            raise ValueError("one column of answers for each question name")
        if self.cells.size and (self.cells.min() < NOT_ASKED or self.cells.max() > 1):
            raise ValueError("an answer is 1, 0 or -1")


@dataclass(frozen=True, kw_only=True)
class Picks:
    """The option each person picked: `codes[j]` names the options of question j, `cells` holds places in it."""

    names: tuple[str, ...]
    codes: tuple[tuple[str, ...], ...]
    keys: tuple[int, ...]  # the place of the right option of each question
    cells: Codes  # a place, or NOT_ASKED

    def responses(self) -> Responses:
        """The same answers as right and wrong."""
        right = (self.cells == np.asarray(self.keys, np.int16)).astype(np.int8)
        return Responses(names=self.names, cells=np.where(self.cells < 0, np.int8(NOT_ASKED), right).astype(np.int8))


@dataclass(frozen=True, kw_only=True)
class ItemFigures:
    """The figures of one question."""

    name: str
    n: int  # persons who answered it
    right: int
    p: float | None  # share right
    p_low: float | None  # its 95 % Wilson interval
    p_high: float | None
    r_pb: float | None  # correlation with the total
    r_rest: float | None  # correlation with the score on the other questions
    d27: float | None  # share right in the upper 27 % less that in the lower 27 %
    alpha_if_deleted: float | None
    reasons: Mapping[str, str] = field(default_factory=lambda: NO_REASONS)  # figure → why it is None


@dataclass(frozen=True, kw_only=True)
class TestFigures:
    """The figures of all questions together, taken as one test of k questions."""

    __test__ = False  # not a test class, whatever pytest thinks of its name

    n: int  # persons who answered anything
    k: int
    answers: int  # cells that are not empty
    mean: float | None
    variance: float | None  # of the population (ddof 0)
    kr20: float | None
    kr21: float | None
    sem: float | None
    livingston: float | None  # the last three at the cut "all k right"
    huynh_p0: float | None
    huynh_kappa: float | None
    items: tuple[ItemFigures, ...]
    reasons: Mapping[str, str] = field(default_factory=lambda: NO_REASONS)

    @property
    def complete(self) -> bool:
        """Return True if every person answered every question."""
        return self.answers == self.n * self.k


@dataclass(frozen=True, kw_only=True)
class OptionFigures:
    """The figures of one option of one question."""

    code: str
    is_key: bool
    n: int  # persons who picked it
    share: float | None
    share_low: float | None
    share_high: float | None
    mean_rest: float | None  # mean score of those who picked it on the other questions, scaled to all of them
    r_rest: float | None  # correlation of picking it with the score on the other questions
    reasons: Mapping[str, str] = field(default_factory=lambda: NO_REASONS)
