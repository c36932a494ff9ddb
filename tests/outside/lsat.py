"""Two published sets of answers: sections 6 and 7 of the Law School Admission Test, 1,000 persons, five questions each.

Bock & Lieberman 1970, Psychometrika 35:179: how many persons gave each of the 32 patterns 00000, 00001, ..., 11111.
Section 7 from memory; its shares right, .828 .658 .772 .606 .843, are the published ones.
"""

from quizzes.figures.rules.analysis.facts import Responses
from tests.rules.quizzes.figures.matrices import responses

LSAT6 = "3 6 2 11 1 1 3 4 1 8 0 16 0 3 2 15 10 29 14 81 3 28 15 80 16 56 21 173 11 61 28 298"
LSAT7 = "12 19 1 7 3 19 3 17 10 5 3 7 7 23 8 28 7 39 11 34 14 51 15 90 6 25 7 35 18 136 32 308"


def answers(counts: str) -> Responses:
    """The persons one by one."""
    return responses(
        [[int(cell) for cell in f"{pattern:05b}"] for pattern, n in enumerate(counts.split()) for _ in range(int(n))]
    )
