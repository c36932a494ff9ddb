"""Scores of first attempts at a bank, from its kept counts: what the certainty of a quiz is measured on."""

from django.db.models import Sum

from quizzes.guessing.certainty import Score
from quizzes.models import Bank, ScoreCount


def first_scores(bank: Bank) -> list[Score]:
    """Return how many first attempts had so many right, over all time. One query."""
    rows = ScoreCount.objects.filter(bank=bank).order_by().values_list("asked", "correct").annotate(Sum("students"))
    return [Score(asked, correct, students) for asked, correct, students in rows]
