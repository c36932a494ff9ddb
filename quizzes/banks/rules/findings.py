"""What the check of a bank returns."""

from dataclasses import dataclass

ERROR, WARNING = "error", "warning"


@dataclass(frozen=True)
class Finding:
    """`where` is the code of a question or a rule; empty for the bank as a whole."""

    level: str
    check: str
    where: str
    sentence: str
