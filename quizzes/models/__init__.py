"""Banks with their editions, and what students do with them."""

from quizzes.models.attempts import Answer, Attempt, Release, RuleRead
from quizzes.models.banks import Acceptance, Bank, BankUpload, DraftChange, Edition, Picture, StarterCorrection
from quizzes.models.figures import (
    AddedCounts,
    AnswerCount,
    CountedAttempt,
    KeyCorrection,
    Regrade,
    RuleCount,
    ScoreCount,
)
from quizzes.models.reviews import Review

__all__ = [
    "Acceptance",
    "AddedCounts",
    "Answer",
    "AnswerCount",
    "Attempt",
    "Bank",
    "BankUpload",
    "CountedAttempt",
    "DraftChange",
    "Edition",
    "KeyCorrection",
    "Picture",
    "Regrade",
    "Release",
    "Review",
    "RuleCount",
    "RuleRead",
    "ScoreCount",
    "StarterCorrection",
]
