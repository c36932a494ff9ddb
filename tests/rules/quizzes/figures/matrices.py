"""Matrices of answers for tests, with and without gaps."""

from collections.abc import Sequence

import numpy as np
from hypothesis import strategies as st

from quizzes.figures.rules.analysis.facts import NOT_ASKED, Responses

GAP = None
Row = Sequence[int | None]


def responses(rows: Sequence[Row], names: Sequence[str] = ()) -> Responses:
    """Answers as rows of 1, 0 and None."""
    cells = np.array([[NOT_ASKED if cell is None else cell for cell in row] for row in rows], np.int8)
    cells = cells.reshape(len(rows), -1)
    return Responses(names=tuple(names) or tuple(f"q{j}" for j in range(cells.shape[1])), cells=cells)


def strings(rows: str) -> Responses:
    """Answers from rows such as "110 011"; a dot is a question that was not asked."""
    return responses([[None if cell == "." else int(cell) for cell in row] for row in rows.split()])


@st.composite
def matrices(draw: st.DrawFn, *, gaps: bool = False, most: int = 12) -> list[list[int | None]]:
    """Up to `most` persons and six questions."""
    cell = st.sampled_from([0, 1, None]) if gaps else st.sampled_from([0, 1])
    questions = draw(st.integers(1, 6))
    row = st.lists(cell, min_size=questions, max_size=questions)
    return draw(st.lists(row, min_size=1, max_size=most))


def simulated(persons: int, questions: int, asked: int, seed: int = 1) -> tuple[Responses, np.ndarray]:
    """Answers by the Rasch model, each person asked `asked` questions at random; and the true difficulties."""
    dice = np.random.default_rng(seed)
    ability, difficulty = dice.normal(0, 1.2, persons), np.linspace(-1.5, 1.5, questions)
    chance = 1 / (1 + np.exp(difficulty - ability[:, None]))
    cells = (dice.random((persons, questions)) < chance).astype(np.int8)
    met = dice.permuted(np.tile(np.arange(questions) < asked, (persons, 1)), axis=1)
    return responses_of(np.where(met, cells, NOT_ASKED)), difficulty


def responses_of(cells: np.ndarray) -> Responses:
    return Responses(names=tuple(f"q{j}" for j in range(cells.shape[1])), cells=cells.astype(np.int8))
