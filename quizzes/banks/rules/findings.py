"""What the check of a bank returns."""

from dataclasses import dataclass
from typing import Literal

type Level = Literal["error", "warning"]
type Check = Literal[
    "alike", "all-right", "alt", "enough", "grade", "language", "long", "longest", "recall", "rule-length",
    "shop-number", "source", "sweeping", "too-few", "twin", "two-answers", "value", "why"
]  # fmt: skip
ERROR: Level = "error"
WARNING: Level = "warning"


@dataclass(frozen=True)
class Finding:
    """`where` is the code of a question or a rule; empty for the bank as a whole."""

    level: Level
    check: Check
    where: str
    sentence: str
