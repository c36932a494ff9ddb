"""How sure a perfect attempt makes us that a student knows the rules, and how often a good student slips.

A student's chance of a right answer differs from student to student; we take it as beta-distributed. Without enough
first attempts the distribution is assumed even, Beta(1, 1). From 200 first attempts on, it is measured on their scores
by maximum likelihood of the beta-binomial (Skellam 1948, J. R. Stat. Soc. B 10:257). After n of n right it is
Beta(α + n, β). A share of nine in ten stands for "knows the rules" (common practice).
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from shopsafe.language.messages import _

KNOWS = 0.9
CAREFUL = 0.98  # a careful student's chance of a right answer, unless it is measured
ENOUGH = 200  # first attempts, before the measured distribution is used
LEVEL = 0.95
LENGTHS = (5, 10, 15, 20, 25, 30)
ASSUMED = (1.0, 1.0)


class Score(NamedTuple):
    """So many first attempts had `correct` of `asked` right."""

    asked: int
    correct: int
    students: int


@dataclass(frozen=True, kw_only=True)
class Sure:
    """What a perfect attempt at so many questions proves."""

    questions: int
    at_least: float  # success-run: the share right that is all but sure (one-sided 95 %), for any student
    knows: float  # chance that a student with a perfect attempt has a share of KNOWS or more
    passes: float  # share of all students with a perfect first attempt
    slips: float  # chance that a student whose share is KNOWS or more misses an attempt
    careful_slips: float  # the same for one right CAREFUL of the time

    @property
    def in_a_hundred(self) -> int:
        """Return the chance that a student with a perfect attempt knows the rules, in a hundred: never a sure 100."""
        return min(99, round(self.knows * 100))

    @property
    def at_least_in_a_hundred(self) -> int:
        return math.floor(self.at_least * 100)


@dataclass(frozen=True, kw_only=True)
class Certainty:
    """The certainty of a quiz, and of quizzes of other lengths beside it."""

    quiz: Sure
    lengths: tuple[Sure, ...]
    attempts: int  # first attempts that are known
    measured: bool
    alpha: float
    beta: float
    reason: str = ""  # why it is assumed rather than measured


def certainty(questions: int, scores: Iterable[Score] = ()) -> Certainty:
    """Return how sure a perfect attempt at a quiz of `questions` makes us, measured on `scores` where they suffice."""
    known = [score for score in scores if score.asked > 0 and score.students > 0]
    attempts = sum(score.students for score in known)
    fitted = beta_of(known) if attempts >= ENOUGH else None
    alpha, beta = fitted or ASSUMED
    few = (
        _("fewer than {number} first attempts", number=ENOUGH)
        if attempts < ENOUGH
        else _("the scores do not vary as a beta would")
    )
    return Certainty(
        quiz=sure(questions, alpha, beta),
        lengths=tuple(sure(count, alpha, beta) for count in sorted({*LENGTHS, questions})),
        attempts=attempts,
        measured=fitted is not None,
        alpha=alpha,
        beta=beta,
        reason="" if fitted else few,
    )


def sure(questions: int, alpha: float, beta: float) -> Sure:
    """Return what n of n right proves about a student from a Beta(α, β) school."""
    knowing = above(alpha, beta, KNOWS)
    passes = math.exp(_log_beta(alpha + questions, beta) - _log_beta(alpha, beta))
    knows = above(alpha + questions, beta, KNOWS)
    return Sure(
        questions=questions,
        at_least=lower_bound(questions),
        knows=knows,
        passes=passes,
        slips=1 - knows * passes / knowing if knowing > 0 else 0.0,
        careful_slips=1 - CAREFUL**questions,
    )


def lower_bound(questions: int, level: float = LEVEL) -> float:
    """Return the one-sided lower bound of the chance of a right answer after n of n right: (1 − level)^(1/n)."""
    return float((1 - level) ** (1 / questions))


def above_after_perfect(questions: int, share: float) -> float:
    """Return P(π ≥ share) after n of n right, from an even prior Beta(1, 1): 1 − share^(n + 1)."""
    return float(1 - share ** (questions + 1))


def above(alpha: float, beta: float, share: float) -> float:
    """Return P(π ≥ share) for Beta(α, β)."""
    from scipy.special import betainc  # it takes a while to import

    return float(betainc(beta, alpha, 1 - share))


def beta_of(scores: Sequence[Score]) -> tuple[float, float] | None:
    """Return the (α, β) of the beta-binomial that fits the scores best, or None if students hardly differ."""
    from scipy.optimize import minimize  # as above

    total = sum(score.students for score in scores)
    mean = sum(score.correct * score.students for score in scores) / sum(
        score.asked * score.students for score in scores
    )
    if not total or not 0 < mean < 1:
        return None

    def unlikely(logs: Sequence[float]) -> float:
        alpha, beta = math.exp(logs[0]), math.exp(logs[1])
        base = _log_beta(alpha, beta)
        return -math.fsum(
            score.students * (_log_beta(alpha + score.correct, beta + score.asked - score.correct) - base)
            for score in scores
        )

    best = minimize(unlikely, [math.log(4 * mean), math.log(4 * (1 - mean))], method="Nelder-Mead")
    alpha, beta = math.exp(best.x[0]), math.exp(best.x[1])
    return (alpha, beta) if best.success and alpha + beta < 1e4 else None


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


# ---- in words --------------------------------------------------------------------------------------------------


def certainty_data(sure: Certainty) -> dict[str, Any]:
    return {
        "first_attempts": sure.attempts,
        "measured": sure.measured,
        **({"reason": sure.reason} if sure.reason else {}),
        "alpha": sure.alpha,
        "beta": sure.beta,
        "quiz": _sure_data(sure.quiz),
        "lengths": [_sure_data(length) for length in sure.lengths],
    }


def _sure_data(sure: Sure) -> dict[str, Any]:
    return {
        "questions": sure.questions,
        "at_least_95": sure.at_least,
        "knows_9_in_10": sure.knows,
        "passes_first_time": sure.passes,
        "knowing_student_misses_once": sure.slips,
        "careful_student_misses_once": sure.careful_slips,
    }
