"""Banks with their editions, and what students do with them."""

from quizzes.models.attempts import Answer, Attempt, Release, RuleRead
from quizzes.models.banks import Acceptance, Bank, BankUpload, DraftChange, Edition, Picture

__all__ = [
    "Acceptance",
    "Answer",
    "Attempt",
    "Bank",
    "BankUpload",
    "DraftChange",
    "Edition",
    "Picture",
    "Release",
    "RuleRead",
]
