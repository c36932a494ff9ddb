"""How far each demo student has come, drawn by lot from a fixed seed. Rules: no Django, no clock."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Progress(StrEnum):
    """How far a student has come with one kind of machine, or with the general quiz."""

    NOTHING = "nothing"
    MISSED = "missed"  # a missed attempt, rules to learn again
    PASSED = "passed"
    SHOWN = "shown"  # passed and signed off


@dataclass(frozen=True)
class Chapter:
    """One quiz in a student's story: what came of it, how many misses went before, how many days ago."""

    kind: str  # the code of a bank
    done: Progress
    misses: int
    days_ago: int


# What each class has behind it: the chances of nothing, missed, passed, shown at a kind of machine.
FAR, MIDDLE, NEW = (1, 1, 3, 10), (3, 2, 4, 5), (8, 2, 2, 1)
PACE = {"9 Teak": FAR, "10 Brass": MIDDLE, "8 Maple": MIDDLE, "7 Alder": NEW}
TERM_DAYS = 60


def story(class_name: str, kinds: Sequence[str], general: str, rng: random.Random) -> list[Chapter]:
    """The chapters of one student, the oldest first; the general quiz leads, and nothing follows where it is missed."""
    weights = PACE.get(class_name, MIDDLE)
    first = rng.choices([Progress.NOTHING, Progress.MISSED, Progress.PASSED], [weights[0] / 4, weights[1] / 2, 12])[0]
    days = TERM_DAYS - rng.randint(8, 14)
    if first is Progress.NOTHING:
        return []
    chapters = [Chapter(general, first, rng.choice([0, 0, 1]) if first is Progress.PASSED else 1, days)]
    if first is not Progress.PASSED:
        return chapters
    for kind in kinds:
        done = rng.choices(list(Progress), weights)[0]
        days = max(2, days - rng.randint(3, 9))
        if done is not Progress.NOTHING:
            misses = 1 if done is Progress.MISSED else rng.choice([0, 0, 0, 1])
            chapters.append(Chapter(kind, done, misses, days))
    return chapters
