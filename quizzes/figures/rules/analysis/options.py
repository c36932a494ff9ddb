"""The answers a question offers: how often each is picked, and by students who do how well on the other questions."""

from dataclasses import dataclass

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats, OptionFigures, Picks
from quizzes.figures.rules.analysis.intervals import wilson_each
from quizzes.figures.rules.analysis.items import NO_REST, SAME_REST
from quizzes.figures.rules.analysis.reliability import NO_ANSWERS
from quizzes.figures.rules.analysis.sums import Moments
from shopsafe.language.messages import marked

NEVER_PICKED = marked("no one picked it")
ALWAYS_PICKED = marked("everyone picked it")


@dataclass(frozen=True, kw_only=True)
class OptionSums:
    """Sums over one question's options. `scores` are those on the other questions, of persons who have such a score."""

    counts: Floats  # picks of each option
    scored: Floats  # those of them by persons with a score
    scores: Floats  # Σ score of those persons
    persons: float  # with a score, over all options
    total: float  # Σ of their scores
    squares: float  # Σ of their squared scores


def option_tables(picks: Picks) -> tuple[tuple[OptionFigures, ...], ...]:
    """Return, for each question, the figures of each of its options in the order of its codes.

    The score on the other questions is the one that `sums` defines: the number right of the k − 1 others, brought to
    that number where a person met fewer. So the key's correlation is the item-rest correlation of the question.
    """
    return tuple(
        table(codes, key, sums) for codes, key, sums in zip(picks.codes, picks.keys, _sums(picks), strict=True)
    )


def table(codes: tuple[str, ...], key: int, sums: OptionSums) -> tuple[OptionFigures, ...]:
    """Return the figures of one question's options from their sums."""
    takers = float(sums.counts.sum())
    low, high = wilson_each(sums.counts, np.full(len(codes), takers))
    r = Moments(
        n=np.full(len(codes), sums.persons),
        x=sums.scored,
        y=np.full(len(codes), sums.total),
        xy=sums.scores,
        yy=np.full(len(codes), sums.squares),
    ).correlation()
    return tuple(
        OptionFigures(
            code=code,
            is_key=place == key,
            n=int(sums.counts[place]),
            share=float(sums.counts[place]) / takers if takers else None,
            share_low=float(low[place]) if takers else None,
            share_high=float(high[place]) if takers else None,
            mean_rest=float(sums.scores[place] / sums.scored[place]) if sums.scored[place] else None,
            r_rest=None if np.isnan(r[place]) else float(r[place]),
            reasons=_reasons(sums, place, takers, missing_r=bool(np.isnan(r[place]))),
        )
        for place, code in enumerate(codes)
    )


def _reasons(sums: OptionSums, place: int, takers: float, *, missing_r: bool) -> dict[str, str]:
    if not takers:
        return dict.fromkeys(("share", "share_low", "share_high", "mean_rest", "r_rest"), NO_ANSWERS)
    if not sums.counts[place]:
        return dict.fromkeys(("mean_rest", "r_rest"), NEVER_PICKED)
    if not sums.scored[place]:
        return dict.fromkeys(("mean_rest", "r_rest"), NO_REST)
    if missing_r:
        return {"r_rest": ALWAYS_PICKED if sums.scored[place] == sums.persons else SAME_REST}
    return {}


def _sums(picks: Picks) -> list[OptionSums]:
    """Return the sums of every question, by one count over all answers."""
    k = picks.cells.shape[1]
    width = max((len(codes) for codes in picks.codes), default=0) or 1
    met = picks.cells >= 0
    right = picks.cells == np.asarray(picks.keys, np.int16)
    asked, totals = met.sum(axis=1), right.sum(axis=1)
    scored = asked > 1
    part = np.where(scored, (k - 1) / np.maximum(asked - 1, 1), 0.0)
    rest = np.where(met, (totals[:, None] - right) * part[:, None], 0.0)
    bins = (np.arange(k) * width + picks.cells)[met]

    def by_option(weights: Floats) -> Floats:
        return np.bincount(bins, weights=weights, minlength=k * width).reshape(k, width).astype(np.float64)

    counts = by_option(np.ones(len(bins)))
    with_score = by_option(np.broadcast_to(scored[:, None], met.shape)[met].astype(np.float64))
    scores = by_option(rest[met])
    persons, squares = with_score.sum(axis=1), (rest * rest).sum(axis=0)
    return [
        OptionSums(
            counts=counts[j, : len(codes)],
            scored=with_score[j, : len(codes)],
            scores=scores[j, : len(codes)],
            persons=float(persons[j]),
            total=float(scores[j].sum()),
            squares=float(squares[j]),
        )
        for j, codes in enumerate(picks.codes)
    ]
