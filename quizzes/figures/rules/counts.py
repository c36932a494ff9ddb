"""What attempts add to the kept counts, as whole numbers: the same in any order, and taken away again, as before."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from quizzes.figures.rules.contributions import Contribution, rules_met


class AnswerKey(NamedTuple):
    question: str
    wording: str
    month: int
    first: bool
    after_study: bool
    met_before: bool
    picked: str
    right: bool
    asked: int
    correct: int


class Tally(NamedTuple):
    """What is added up for one key."""

    students: int = 0
    timed: int = 0
    log_time: int = 0
    log_time_squared: int = 0


class RuleKey(NamedTuple):
    rule: str
    month: int


class ScoreKey(NamedTuple):
    month: int
    asked: int
    correct: int


@dataclass(frozen=True)
class Counts:
    """The counts of some attempts at one bank."""

    answers: Mapping[AnswerKey, Tally] = field(default_factory=dict)
    rules: Mapping[RuleKey, tuple[int, int]] = field(default_factory=dict)  # (met, missed)
    scores: Mapping[ScoreKey, int] = field(default_factory=dict)


def month_of(year: int, month: int) -> int:
    """Return a month as it is kept: 202609."""
    return year * 100 + month


def counts_of(attempts: Iterable[tuple[int, Sequence[Contribution]]]) -> Counts:
    """Return the counts of attempts: of each the month it was handed in, and what it tells."""
    answers: dict[AnswerKey, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    rules: dict[RuleKey, list[int]] = defaultdict(lambda: [0, 0])
    scores: Counter[ScoreKey] = Counter()
    for month, parts in attempts:
        for part in parts:
            for place, value in enumerate(_tally(part)):
                answers[_key(part, month)][place] += value
        if parts and parts[0].first:
            scores[ScoreKey(month, parts[0].asked, parts[0].correct)] += 1
            for rule, missed in rules_met(parts).items():
                rules[RuleKey(rule, month)][0] += 1
                rules[RuleKey(rule, month)][1] += missed
    return Counts(
        answers={key: Tally(*values) for key, values in answers.items()},
        rules={key: (met, missed) for key, (met, missed) in rules.items()},
        scores=dict(scores),
    )


def _key(part: Contribution, month: int) -> AnswerKey:
    return AnswerKey(
        question=part.question,
        wording=part.wording,
        month=month,
        first=part.first,
        after_study=part.after_study,
        met_before=part.met_before,
        picked=part.picked if part.first else "",
        right=part.right,
        asked=part.asked if part.first else 0,
        correct=part.correct if part.first else 0,
    )


def _tally(part: Contribution) -> Tally:
    if not part.first or not part.seconds:
        return Tally(1)
    log_time = round(1000 * math.log(part.seconds))
    return Tally(1, 1, log_time, log_time * log_time)
