"""Item analysis of one test: how hard each question is, and how well it finds the students who know."""

import math
from collections.abc import Mapping

import numpy as np

from quizzes.figures.rules.analysis import reliability
from quizzes.figures.rules.analysis.facts import Floats, ItemFigures, Responses, TestFigures, Words
from quizzes.figures.rules.analysis.intervals import wilson_each
from quizzes.figures.rules.analysis.reliability import NO_ANSWERS, Spread
from quizzes.figures.rules.analysis.sums import Answers, Moments
from shopsafe.language.messages import marked

ALL_RIGHT = marked("every answer is right")
NONE_RIGHT = marked("no answer is right")
SAME_TOTALS = marked("all who answered it have the same total")
SAME_REST = marked("all who answered it have the same score on the other questions")
NO_REST = marked("no one answered it together with another question")
NO_TAIL = marked("no one in the upper or in the lower 27 % answered it")
REST_VARIES_NOT = marked("the other questions do not vary")
NO_KR21 = marked("KR-21 is not between 0 and 1")


def analyse(responses: Responses) -> TestFigures:
    """Return the figures of a test and of each of its questions. Gaps are allowed; see facts and sums."""
    answers = Answers(responses)
    spread = reliability.spread_of(answers)
    present = int((answers.asked > 0).sum())
    mean = float(answers.p.sum()) if answers.k and answers.takers.all() else None
    whole, reasons = _whole(mean, spread, answers.k)
    return TestFigures(
        n=present,
        k=answers.k,
        answers=int(answers.takers.sum()),
        items=_items(responses.names, answers, spread),
        reasons=reasons,
        **whole,
    )


def _whole(mean: float | None, spread: Spread, k: int) -> tuple[dict[str, float | None], dict[str, str]]:
    """Return the figures of the whole test, and why those that are None are."""
    variance, kr20 = spread.variance, spread.kr20
    kr21 = None if mean is None or variance is None else reliability.kr21(mean, variance, k)
    agreement = None if mean is None or kr21 is None else reliability.huynh(mean, kr21, k)
    known = mean is not None and variance is not None and kr20 is not None
    figures = {
        "mean": mean,
        "variance": variance,
        "kr20": kr20,
        "kr21": kr21,
        "sem": reliability.standard_error(variance, kr20) if known else None,  # type: ignore[arg-type]
        "livingston": reliability.livingston(mean, variance, kr20, k) if known else None,  # type: ignore[arg-type]
        "huynh_p0": agreement.p0 if agreement else None,
        "huynh_kappa": agreement.kappa if agreement else None,
    }
    why = spread.reason or reliability.OUT_OF_RANGE
    missing = {name: why for name, value in figures.items() if value is None}
    if kr21 is not None and agreement is None:
        missing |= dict.fromkeys(("huynh_p0", "huynh_kappa"), NO_KR21)
    return figures, missing


def _items(names: tuple[str, ...], answers: Answers, spread: Spread) -> tuple[ItemFigures, ...]:
    low, high = wilson_each(answers.right, answers.takers)
    whole, rest = answers.with_total(), answers.with_rest()
    columns = {
        "p": answers.p,
        "p_low": low,
        "p_high": high,
        "r_pb": whole.correlation(),
        "r_rest": rest.correlation() if answers.k > 1 else np.full(answers.k, np.nan),
        "d27": _upper_less_lower(answers),
        "alpha_if_deleted": spread.deleted,
    }
    why = _reasons(answers, whole, rest, spread)
    values = {name: _plain(column) for name, column in columns.items()}
    return tuple(
        ItemFigures(
            name=name,
            n=int(answers.takers[place]),
            right=int(answers.right[place]),
            reasons={figure: why[figure][place] for figure in columns if values[figure][place] is None},
            **{figure: values[figure][place] for figure in columns},
        )
        for place, name in enumerate(names)
    )


def _plain(column: Floats) -> list[float | None]:
    """Return a column as numbers, with None for what is not a number."""
    return [None if math.isnan(value) else value for value in column.tolist()]


def _upper_less_lower(answers: Answers) -> Floats:
    """Return D = share right in the upper 27 % less that in the lower 27 %, among those who met the question."""
    met, right = answers.over_met, answers.over_right
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = (right[end] / np.where(met[end] > 1e-12, met[end], np.nan) for end in ("lower", "upper"))
    return np.full(answers.k, np.nan) if len(answers.levels[1]) < 2 else high - low


def _reasons(answers: Answers, whole: Moments, rest: Moments, spread: Spread) -> Mapping[str, list[str]]:
    """Return, for each figure and question, what to say if the figure is None."""
    empty = answers.takers == 0
    totals = np.where(empty, NO_ANSWERS, _flat(whole, SAME_TOTALS))
    others = np.where(empty, NO_ANSWERS, np.where(rest.n == 0, NO_REST, _flat(rest, SAME_REST)))
    deleted = reliability.FEW_QUESTIONS_LEFT if answers.k < 3 else REST_VARIES_NOT
    if spread.reason in (NO_ANSWERS, reliability.NOT_TOGETHER):
        deleted = spread.reason
    return {
        "p": [NO_ANSWERS] * answers.k,
        "p_low": [NO_ANSWERS] * answers.k,
        "p_high": [NO_ANSWERS] * answers.k,
        "r_pb": totals.tolist(),
        "r_rest": (others if answers.k > 1 else np.full(answers.k, reliability.FEW_QUESTIONS)).tolist(),
        "d27": np.where(empty, NO_ANSWERS, np.where(whole.y_is_flat, SAME_TOTALS, NO_TAIL)).tolist(),
        "alpha_if_deleted": [deleted] * answers.k,
    }


def _flat(sums: Moments, same: str) -> Words:
    """Return, for each question, why it has no correlation with a score."""
    return np.where(sums.x == sums.n, ALL_RIGHT, np.where(sums.x == 0, NONE_RIGHT, same))
