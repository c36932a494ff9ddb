"""Cover-and-recall: whether what a student typed fills the blank of a rule's card. It teaches, it does not examine."""

import re

from rapidfuzz.distance import OSA

from quizzes.banks.rules.fields import BLANK
from quizzes.facts import Recall

LITTLE = frozenset({"a", "an", "the", "my", "your", "its"})
LONG_ENOUGH = 5  # letters: from here on one slip of the finger is let pass


def is_recalled(recall: Recall, typed: str) -> bool:
    """True for any of the key's words: capitals, little words and one slip in a long word don't matter."""
    words = _plain(typed)
    return bool(words) and any(_same(words, _plain(key)) for key in recall.key)


def _plain(text: str) -> str:
    words = [word for word in re.findall(r"\w+", text.casefold()) if word not in LITTLE]
    return " ".join(words)


def _same(typed: str, key: str) -> bool:
    return typed == key or (len(key) >= LONG_ENOUGH and not key.isdigit() and OSA.distance(typed, key) <= 1)


def parts(recall: Recall) -> tuple[str, str]:
    """The sentence before and after its blank."""
    before, after = BLANK.split(recall.text)
    return before, after
