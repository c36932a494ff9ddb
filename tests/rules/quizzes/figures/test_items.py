"""Item analysis against counting it out, person by person, in plain Python."""

import statistics
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given

from quizzes.figures.rules.analysis import items
from quizzes.figures.rules.analysis.facts import Responses
from quizzes.figures.rules.analysis.items import analyse
from tests.rules.quizzes.figures.matrices import Row, matrices, responses, simulated, strings


def pearson(pairs: Sequence[tuple[float, float]]) -> float | None:
    xs, ys = [x for x, _ in pairs], [y for _, y in pairs]
    if len(pairs) < 2 or len(set(xs)) < 2 or len({round(y, 12) for y in ys}) < 2:
        return None
    return statistics.correlation(xs, ys)


def scores(rows: Sequence[Row], j: int) -> list[tuple[float, float]]:
    """(answer, score on the other questions) of everyone who met question j and another one."""
    k = len(rows[0])
    pairs = []
    for row in rows:
        others = [cell for place, cell in enumerate(row) if place != j and cell is not None]
        if row[j] is not None and others:
            pairs.append((float(row[j] or 0), sum(others) / len(others) * (k - 1)))
    return pairs


def shares(rows: Sequence[Row], j: int) -> list[tuple[float, float]]:
    """(answer, share right of the questions met) of everyone who met question j."""
    met = [[cell for cell in row if cell is not None] for row in rows]
    return [(float(row[j] or 0), sum(m) / len(m)) for row, m in zip(rows, met, strict=True) if row[j] is not None]


@given(matrices(gaps=True))
def test_item_figures_agree_with_counting_when_answers_have_gaps(rows: list[Row]) -> None:
    figures = analyse(responses(rows))
    for j, item in enumerate(figures.items):
        met = [row[j] for row in rows if row[j] is not None]
        assert (item.n, item.right) == (len(met), sum(cell or 0 for cell in met))
        assert item.p == (pytest.approx(item.right / item.n) if met else None)
        assert item.r_rest == approx(pearson(scores(rows, j)))
        assert item.r_pb == approx(pearson(shares(rows, j)))


def approx(value: float | None) -> object:
    return None if value is None else pytest.approx(value, abs=1e-9)


@given(matrices(gaps=True))
def test_a_figure_is_a_number_or_has_a_reason(rows: list[Row]) -> None:
    figures = analyse(responses(rows))
    for figure in (figures, *figures.items):
        for name, value in vars(figure).items():
            if isinstance(value, float):
                assert np.isfinite(value), name
            if value is None:
                assert figure.reasons[name], name
        assert all(getattr(figure, name) is None for name in figure.reasons)


@given(matrices())
def test_discrimination_matches_a_count_without_missing_answers(rows: list[list[int]]) -> None:
    """Each person of a tied total counts for the same part of the 27 %."""
    totals = [sum(row) for row in rows]
    weights = [tail(totals, total) - tail([-t for t in totals], -total) for total in totals]
    for j, item in enumerate(analyse(responses(rows)).items):
        expected = sum(w * row[j] for w, row in zip(weights, rows, strict=True)) / (0.27 * len(rows))
        assert item.d27 == (None if len(set(totals)) < 2 else pytest.approx(-expected))


def tail(totals: Sequence[int], total: int) -> float:
    """How much of a person with this total lies in the lowest 27 %."""
    below, tied = sum(t < total for t in totals), totals.count(total)
    return min(1.0, max(0.0, (0.27 * len(totals) - below) / tied))


@given(matrices())
def test_kr20_agrees_with_its_formula_when_no_answer_is_missing(rows: list[list[int]]) -> None:
    figures, k = analyse(responses(rows)), len(rows[0])
    variance = statistics.pvariance([sum(row) for row in rows])
    spread = sum(statistics.pvariance(column) for column in zip(*rows, strict=True))
    assert figures.variance == pytest.approx(variance)
    expected = k / (k - 1) * (1 - spread / variance) if k > 1 and variance else None
    assert figures.kr20 == (None if expected is None else pytest.approx(expected))


@given(matrices())
def test_alpha_if_deleted_is_kr20_of_the_other_questions(rows: list[list[int]]) -> None:
    for j, item in enumerate(analyse(responses(rows)).items):
        others = [[*row[:j], *row[j + 1 :]] for row in rows]
        assert item.alpha_if_deleted == approx(analyse(responses(others)).kr20 if len(rows[0]) > 2 else None)


def test_everyone_right_gives_no_figures_but_the_share() -> None:
    figures = analyse(strings("111 111 111"))
    assert (figures.mean, figures.variance, figures.kr20, figures.sem) == (3, 0, None, None)
    assert figures.reasons["kr20"] == "every total is the same"
    item = figures.items[0]
    assert (item.p, item.r_pb, item.r_rest, item.d27) == (1, None, None, None)
    assert item.reasons["r_rest"] == items.ALL_RIGHT


def test_questions_never_asked_together_have_no_reliability() -> None:
    """Questions 1 and 3 were not met by the same person: their covariance is not known."""
    figures = analyse(strings("11. 01. 10. .11 .01 .10"))
    assert figures.kr20 is None
    assert figures.reasons["kr20"] == "some two questions were not answered together by two persons"
    assert all(item.r_rest is not None for item in figures.items)


def test_a_question_no_one_met_is_named_and_the_others_have_figures() -> None:
    figures = analyse(strings("10. 01. 11."))
    assert (figures.items[2].n, figures.items[2].p) == (0, None)
    assert figures.items[2].reasons["p"] == "no answers"
    assert figures.items[0].r_rest is not None


def test_a_person_without_answers_is_not_counted() -> None:
    figures = analyse(strings("10 .. 01 11"))
    assert (figures.n, figures.answers, figures.complete) == (3, 6, True)


def test_an_empty_matrix_has_no_figures() -> None:
    figures = analyse(Responses(names=(), cells=np.zeros((0, 0), np.int8)))
    assert (figures.n, figures.k, figures.mean, figures.items) == (0, 0, None, ())


def test_mean_is_that_of_a_whole_test_when_each_person_meets_a_part() -> None:
    """A random third of thirty questions tells the mean and the spread of all thirty."""
    part, _ = simulated(4000, 30, 10)
    whole, _ = simulated(4000, 30, 30)
    some, all_of_them = analyse(part), analyse(whole)
    assert some.mean == pytest.approx(all_of_them.mean, abs=0.3)
    assert some.variance == pytest.approx(all_of_them.variance, rel=0.1)
    assert some.kr20 == pytest.approx(all_of_them.kr20, abs=0.02)


@pytest.mark.parametrize("cells", [np.full((2, 2), 2, np.int8), np.full((2, 3), 1, np.int8), np.full(2, 1, np.int8)])
def test_responses_refuse_an_invalid_matrix(cells: np.ndarray) -> None:
    with pytest.raises(ValueError, match="answer"):
        Responses(names=("a", "b"), cells=cells)
