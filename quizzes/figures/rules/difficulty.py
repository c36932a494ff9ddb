"""How hard questions are though students met different ones, in words: by the Rasch scale, with its errors.

A question is harder than most if its difficulty lies above the middle one by HALF a logit or more and the gap is no
chance: the p-values of all questions go through Benjamini & Hochberg, as with flags.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from quizzes.facts import BankText, Question, Rule
from quizzes.figures.rules.analysis import rasch
from quizzes.figures.rules.analysis.facts import Responses
from quizzes.figures.rules.analysis.flags import FALSE_SHARE, FEWEST, adjusted
from shopsafe.language.messages import _, marked

HALF = 0.5  # logits: from five right in ten to six
ENOUGH = 50  # first attempts, before questions are placed on one scale
FEW_ANSWERS = marked("fewer than {number} answers to each question")
HARDER, EASIER, USUAL = "harder", "easier", "usual"


@dataclass(frozen=True, kw_only=True)
class Placed:
    question: Question
    n: int
    group: str  # harder, easier, usual


@dataclass(frozen=True, kw_only=True)
class Uneven:
    """A rule whose questions are not equally hard: one of them may ask something else."""

    rule: Rule
    hardest: Question
    easiest: Question


@dataclass(frozen=True, kw_only=True)
class DifficultyPage:
    """The questions of a bank by difficulty; `reason` says why there is no scale."""

    harder: tuple[Placed, ...] = ()
    easier: tuple[Placed, ...] = ()
    usual: int = 0
    unplaced: int = 0
    uneven: tuple[Uneven, ...] = ()
    hardest_set: float | None = None  # right answers in ten that all students are expected to have on it
    easiest_set: float | None = None
    attempts: int = 0
    reason: str = ""

    @property
    def sets_words(self) -> str:
        """Return how fair the sets of questions are to each other."""
        if self.hardest_set is None or self.easiest_set is None:
            return ""
        low, high = f"{self.hardest_set:.1f}", f"{self.easiest_set:.1f}"
        verdict = _("Their sets of questions were about equally hard.")
        if self.easiest_set - self.hardest_set >= 1:
            verdict = _("Some students had clearly harder questions than others.")
        expected = _(
            "On the hardest tenth of sets, {low} right answers in ten are expected; on the easiest, {high}.",
            low=low,
            high=high,
        )
        return f"{verdict} {expected}"


def difficulty_page(text: BankText, responses: Responses) -> DifficultyPage:
    """Return the questions on one scale. `responses` are first attempts at the bank's questions."""
    attempts = len(responses.cells)
    if attempts < ENOUGH:
        return DifficultyPage(
            attempts=attempts,
            reason=_("This page needs {enough} first tries. There are {attempts}.", enough=ENOUGH, attempts=attempts),
        )
    model = rasch.fit(responses)
    placed = [item for item in model.items if item.difficulty is not None and item.n >= FEWEST]
    if len(placed) < 2:
        reason = _(model.reason) if model.reason else _(FEW_ANSWERS, number=FEWEST)
        return DifficultyPage(attempts=attempts, reason=_("This page has no scale for them: {reason}.", reason=reason))
    groups = _groups(placed)
    rows = [Placed(question=text.question_by_code[item.name], n=item.n, group=groups[item.name]) for item in placed]
    gaps = {item.name: item.difficulty or 0.0 for item in placed}
    ordered = sorted(rows, key=lambda row: -gaps[row.question.code])
    hardest, easiest = _sets(model, responses)
    return DifficultyPage(
        harder=tuple(row for row in ordered if row.group == HARDER),
        easier=tuple(row for row in reversed(ordered) if row.group == EASIER),
        usual=sum(row.group == USUAL for row in rows),
        unplaced=len(model.items) - len(placed),
        uneven=_uneven(text, model, gaps),
        hardest_set=hardest,
        easiest_set=easiest,
        attempts=attempts,
    )


def _groups(placed: Sequence[rasch.RaschItem]) -> dict[str, str]:
    middle = float(np.median([item.difficulty or 0.0 for item in placed]))
    gaps = [(item.difficulty or 0.0) - middle for item in placed]
    errors = [item.se or math.inf for item in placed]
    q_values = adjusted([math.erfc(abs(gap) / se / math.sqrt(2)) for gap, se in zip(gaps, errors, strict=True)])
    return {
        item.name: (HARDER if gap > 0 else EASIER) if q_value <= FALSE_SHARE and abs(gap) >= HALF else USUAL
        for item, gap, q_value in zip(placed, gaps, q_values.tolist(), strict=True)
    }


def _uneven(text: BankText, model: rasch.RaschFit, gaps: dict[str, float]) -> tuple[Uneven, ...]:
    tested: list[tuple[float, Any, list[str]]] = []
    for rule in text.live_rules:
        codes = [question.code for question in text.live_questions if question.rule == rule.code]
        codes = [code for code in codes if code in gaps]
        p_value = rasch.equally_hard(model, tuple(codes))
        if p_value is not None:
            tested.append((p_value, rule, sorted(codes, key=lambda code: gaps[code])))
    q_values = adjusted([p_value for p_value, _rule, _codes in tested]).tolist()
    return tuple(
        Uneven(rule=rule, hardest=text.question_by_code[codes[-1]], easiest=text.question_by_code[codes[0]])
        for (_p_value, rule, codes), q_value in zip(tested, q_values, strict=True)
        if q_value <= FALSE_SHARE and gaps[codes[-1]] - gaps[codes[0]] >= 2 * HALF
    )


def _sets(model: rasch.RaschFit, responses: Responses) -> tuple[float | None, float | None]:
    """Return the right answers in ten to expect on the hardest and the easiest tenth of the sets that students met."""
    known = np.array([item.difficulty is not None for item in model.items])
    values = np.array([item.difficulty or 0.0 for item in model.items])
    shares = [
        rasch.expected_share(values[met], model.spread or 0.0) for met in (responses.cells >= 0) & known if met.any()
    ]
    if not shares:
        return None, None
    low, high = np.quantile(shares, [0.1, 0.9])
    return float(low) * 10, float(high) * 10
