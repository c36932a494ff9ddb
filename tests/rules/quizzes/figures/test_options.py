"""The options of a question against counting them out; and the same figures from kept counts."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.figures.rules.analysis.cells import Cell, question_figures
from quizzes.figures.rules.analysis.facts import Picks
from quizzes.figures.rules.analysis.items import analyse
from quizzes.figures.rules.analysis.options import option_tables
from tests.rules.quizzes.figures.test_items import pearson

CODES = ("A", "B", "C")
Row = list[int | None]


def picks(rows: list[Row]) -> Picks:
    """Three options a question; A is right."""
    cells = np.array([[-1 if cell is None else cell for cell in row] for row in rows], np.int16)
    k = cells.shape[1]
    return Picks(names=tuple(f"q{j}" for j in range(k)), codes=(CODES,) * k, keys=(0,) * k, cells=cells)


@st.composite
def rows_of_picks(draw: st.DrawFn) -> list[Row]:
    questions = draw(st.integers(1, 5))
    cell = st.sampled_from([0, 1, 2, None])
    return draw(st.lists(st.lists(cell, min_size=questions, max_size=questions), min_size=1, max_size=10))


def scored(rows: list[Row], j: int) -> list[tuple[int, float]]:
    """(option, score on the other questions) of everyone who met question j and another."""
    pairs = []
    for row in rows:
        others = [cell == 0 for place, cell in enumerate(row) if place != j and cell is not None]
        if row[j] is not None and others:
            pairs.append((row[j] or 0, sum(others) / len(others) * (len(row) - 1)))
    return pairs


@given(rows_of_picks())
def test_options_agree_with_counting(rows: list[Row]) -> None:
    for j, table in enumerate(option_tables(picks(rows))):
        met = [row[j] for row in rows if row[j] is not None]
        pairs = scored(rows, j)
        for place, option in enumerate(table):
            scores = [score for code, score in pairs if code == place]
            assert (option.code, option.n, option.is_key) == (CODES[place], met.count(place), place == 0)
            assert option.share == (pytest.approx(met.count(place) / len(met)) if met else None)
            assert option.mean_rest == (pytest.approx(sum(scores) / len(scores), abs=1e-9) if scores else None)
            r = pearson([(float(code == place), score) for code, score in pairs])
            assert option.r_rest == (None if r is None else pytest.approx(r, abs=1e-9))
            assert set(option.reasons) == {name for name, value in vars(option).items() if value is None}


@given(rows_of_picks())
def test_correlation_of_the_key_is_that_of_the_question(rows: list[Row]) -> None:
    figures = analyse(picks(rows).responses())
    for item, table in zip(figures.items, option_tables(picks(rows)), strict=True):
        assert table[0].r_rest == (None if item.r_rest is None else pytest.approx(item.r_rest, abs=1e-9))


@given(rows_of_picks())
def test_kept_counts_give_the_same_figures(rows: list[Row]) -> None:
    """From counts of (picked, right, asked, correct) alone, in parts of the other questions instead of their number."""
    k = len(rows[0])
    figures, tables = analyse(picks(rows).responses()), option_tables(picks(rows))
    for j, (item, table) in enumerate(zip(figures.items, tables, strict=True)):
        counts: Counter[tuple[str, bool, int, int]] = Counter()
        for row in rows:
            met = [cell for cell in row if cell is not None]
            cell = row[j]
            if cell is not None:
                counts[CODES[cell], cell == 0, len(met), met.count(0)] += 1
        kept = question_figures(f"q{j}", [Cell(*key, n) for key, n in counts.items()], CODES, "A")
        for name in ("n", "right", "p", "p_low", "p_high", "r_pb", "r_rest"):
            assert getattr(kept.item, name) == approx(getattr(item, name)), name
        for ours, other in zip(kept.options, table, strict=True):
            assert (ours.code, ours.n, ours.share) == (other.code, other.n, approx(other.share))
            assert ours.r_rest == approx(other.r_rest)
            assert ours.mean_rest == (None if other.mean_rest is None else approx(other.mean_rest / max(k - 1, 1)))


def approx(value: float | None) -> object:
    return None if value is None else pytest.approx(value, abs=1e-9)


def test_discrimination_from_counts_is_that_of_the_whole_matrix() -> None:
    """Everyone met all questions, so the groups of one question are those of the test."""
    dice = np.random.default_rng(3)
    rows = [[int(cell) for cell in row] for row in dice.integers(0, 3, (40, 6))]
    figures = analyse(picks(rows).responses())
    for j, item in enumerate(figures.items):
        counts = Counter((CODES[row[j]], row[j] == 0, 6, row.count(0)) for row in rows)
        kept = question_figures("q", [Cell(*key, n) for key, n in counts.items()], CODES, "A")
        assert kept.item.d27 == pytest.approx(item.d27)


def test_an_option_no_one_picked_is_listed_with_its_reason() -> None:
    (table,) = option_tables(picks([[0], [1]]))
    assert (table[2].n, table[2].share, table[2].r_rest) == (0, 0, None)
    assert table[2].reasons["r_rest"] == "no one picked it"


def test_a_question_without_answers_has_no_shares() -> None:
    figures = question_figures("q", [], CODES, "A")
    assert [option.share for option in figures.options] == [None, None, None]
    assert (figures.item.n, figures.item.p, figures.item.reasons["p"]) == (0, None, "no answers")
