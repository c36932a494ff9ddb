"""How answers change: later attempts against first ones, and after studying a missed rule against before."""

from dataclasses import dataclass

from quizzes.figures.rules.analysis.intervals import difference, wilson
from shopsafe.language.messages import _

FEWEST = 20  # on either side, before a change is reported


@dataclass(frozen=True, kw_only=True)
class Change:
    """The share right later less the share right before (Cox & Vargas 1966): how well a question shows learning."""

    before: float | None
    after: float | None
    n_before: int
    n_after: int
    gain: float | None
    low: float | None  # of its 95 % interval, two independent groups (Newcombe 1998, method 10)
    high: float | None
    reason: str = ""


def change(before: tuple[int, int], after: tuple[int, int], fewest: int = FEWEST) -> Change:
    """Return the change from (right, answers) before to (right, answers) after."""
    shares = [right / count if count else None for right, count in (before, after)]
    enough = min(before[1], after[1]) >= max(fewest, 1)
    gain = low = high = None
    if enough and shares[0] is not None and shares[1] is not None:
        gain = shares[1] - shares[0]
        low, high = difference((after[0], before[0]), (after[1], before[1]))
    return Change(
        before=shares[0],
        after=shares[1],
        n_before=before[1],
        n_after=after[1],
        gain=gain,
        low=low,
        high=high,
        reason="" if enough else _("fewer than {number} answers before or after", number=fewest),
    )


@dataclass(frozen=True, kw_only=True)
class MissShare:
    """How many of the students who met a rule missed it on their first attempt."""

    met: int
    missed: int
    share: float | None
    low: float | None
    high: float | None
    enough: bool  # else the page says that it is too few to say


def missed(count: int, met: int, fewest: int) -> MissShare:
    """Return the share of students who missed a rule, with its 95 % Wilson interval."""
    low, high = wilson(count, met) if met else (None, None)
    share = count / met if met else None
    return MissShare(met=met, missed=count, share=share, low=low, high=high, enough=met >= fewest)
