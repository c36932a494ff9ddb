"""Banks with their editions, and what students do with them."""

from quizzes.models.attempts import Answer, Attempt, Release, RuleRead
from quizzes.models.banks import Bank, Edition, Picture

__all__ = ["Answer", "Attempt", "Bank", "Edition", "Picture", "Release", "RuleRead"]
