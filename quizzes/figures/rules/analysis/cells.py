"""The figures of one question from counts: how many students gave this answer with this score on their form.

Counts are whole numbers, so they can be kept and added to in any order, and everything here can be worked out from them
without a student in sight. The score on the other questions is a share, (correct − right)/(asked − 1): the same as in
`sums`, given in parts of the other questions instead of in questions.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats, ItemFigures, OptionFigures
from quizzes.figures.rules.analysis.intervals import wilson
from quizzes.figures.rules.analysis.items import ALL_RIGHT, NO_REST, NO_TAIL, NONE_RIGHT, SAME_REST, SAME_TOTALS
from quizzes.figures.rules.analysis.options import OptionSums, table
from quizzes.figures.rules.analysis.reliability import NO_ANSWERS
from quizzes.figures.rules.analysis.sums import Moments, tail
from shopsafe.language.messages import marked

ONE_QUESTION = marked("it says how a whole test holds together, not one question")


class Cell(NamedTuple):
    """So many students gave this answer to the question on a form of `asked` questions with `correct` right."""

    picked: str
    right: bool
    asked: int
    correct: int  # this question included
    students: int


@dataclass(frozen=True, kw_only=True)
class QuestionSums:
    """The figures of a question, and those of each answer that was given or offered."""

    item: ItemFigures
    options: tuple[OptionFigures, ...]


def question_figures(name: str, cells: Sequence[Cell], offered: Sequence[str] = (), key: str = "") -> QuestionSums:
    """Return the figures of one question. `offered` are answers to list even if no one gave them; `key` is right."""
    codes = tuple(dict.fromkeys([*([key] if key else []), *offered, *(cell.picked for cell in cells)]))
    columns = np.array([cell[1:] for cell in cells], np.float64).reshape(-1, 4)
    picked = np.array([codes.index(cell.picked) for cell in cells], np.int64)
    return QuestionSums(
        item=_item(name, columns),
        options=table(codes, codes.index(key) if key else -1, _option_sums(columns, picked, len(codes))),
    )


def _item(name: str, columns: Floats) -> ItemFigures:
    right, asked, correct, count = columns.T
    n, hits = int(count.sum()), int((count * right).sum())
    if not n:
        figures: dict[str, float | None] = dict.fromkeys(("p", "p_low", "p_high", "r_pb", "r_rest", "d27"))
        reasons = dict.fromkeys(figures, NO_ANSWERS)
    else:
        low, high = wilson(hits, n)
        scored = asked > 1
        rest = (correct - right)[scored] / (asked - 1)[scored]
        figures = {
            "p": hits / n,
            "p_low": low,
            "p_high": high,
            "r_pb": _r(right, correct / asked, count),
            "r_rest": _r(right[scored], rest, count[scored]),
            "d27": _d27(right, correct / asked, count),
        }
        reasons = _why(figures, n, hits, has_rest=bool(scored.any()))
    return ItemFigures(
        name=name,
        n=n,
        right=hits,
        alpha_if_deleted=None,
        reasons=reasons | {"alpha_if_deleted": ONE_QUESTION},
        **figures,
    )


def _why(figures: Mapping[str, float | None], n: int, hits: int, *, has_rest: bool) -> dict[str, str]:
    same = ALL_RIGHT if hits == n else NONE_RIGHT if not hits else ""
    whys = {
        "r_pb": same or SAME_TOTALS,
        "r_rest": NO_REST if not has_rest else same or SAME_REST,
        "d27": SAME_TOTALS if figures["r_pb"] is None and not same else NO_TAIL,
    }
    return {figure: why for figure, why in whys.items() if figures[figure] is None}


def moments(x: Floats, y: Floats, count: Floats) -> Moments:
    """Return the sums of x (0 or 1) and a score y over persons, `count` persons a row."""
    sums = [np.array([float((count * part).sum())]) for part in (np.ones(len(x)), x, y, x * y, y * y)]
    return Moments(n=sums[0], x=sums[1], y=sums[2], xy=sums[3], yy=sums[4])


def _r(x: Floats, y: Floats, count: Floats) -> float | None:
    value = float(moments(x, y, count).correlation()[0])
    return None if np.isnan(value) else value


def _d27(right: Floats, share: Floats, count: Floats) -> float | None:
    """D among those who met the question: ties at the edge of a group are shared evenly."""
    levels, group = np.unique(share, return_inverse=True)
    if len(levels) < 2:
        return None
    persons = np.bincount(group, weights=count)
    hits = np.bincount(group, weights=count * right)
    lower, upper = tail(persons) * 1.0, tail(persons[::-1])[::-1]
    return float((upper @ hits) / (upper @ persons) - (lower @ hits) / (lower @ persons))


def _option_sums(columns: Floats, picked: np.ndarray[tuple[int], np.dtype[np.int64]], width: int) -> OptionSums:
    right, asked, correct, count = columns.T
    scored = (asked > 1).astype(np.float64)
    rest = np.where(asked > 1, (correct - right) / np.maximum(asked - 1, 1), 0.0)

    def by_option(weights: Floats) -> Floats:
        return np.bincount(picked, weights=weights, minlength=width).astype(np.float64)

    return OptionSums(
        counts=by_option(count),
        scored=by_option(count * scored),
        scores=by_option(count * rest),
        persons=float((count * scored).sum()),
        total=float((count * rest).sum()),
        squares=float((count * rest * rest).sum()),
    )
