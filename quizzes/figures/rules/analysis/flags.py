"""Which questions to look at again: each flag is a test, and false alarms are kept to a known share.

Every question of a bank is tested for every flag, so some would look bad by chance alone. Within each kind of flag the
p-values go through Benjamini & Hochberg (1995, J. R. Stat. Soc. B 57:289): of the flags shown, one in ten at most is
expected to be a false alarm. The bars themselves (nine in ten right, three in ten right, ...) are common practice.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats, ItemFigures, OptionFigures
from shopsafe.language.messages import _

FALSE_SHARE = 0.10  # of the flags shown, at most this share is expected to be chance
FEWEST = 20  # first attempts, before a question is judged
EASY, HARD = 0.90, 0.30

TOO_EASY, TOO_HARD, BACKWARD = "too-easy", "too-hard", "backward"
UNUSED, WRONG_KEY, SLOW, SEEN = "unused-answer", "wrong-key", "slow", "seen-often"
SLOW_TIMES = 1.5  # as long as a usual question of the bank
GAP = (
    0.2  # measured on simulated banks: 1 in 100 hard questions is taken for a wrong key, and most wrong keys are found
)
SEEN_SHARE = 1 / 3  # of the times a question is met, the student had met it before


@dataclass(frozen=True, kw_only=True)
class Times:
    """How long students took over one question: the mean and the deviation (ddof 1) of the natural log of seconds."""

    n: int
    mean: float
    deviation: float


@dataclass(frozen=True, kw_only=True)
class QuestionMeasures:
    """What is known of one question from first attempts, and how often it has been met on any."""

    item: ItemFigures
    options: tuple[OptionFigures, ...] = ()
    times: Times | None = None
    met: int = 0  # on any attempt
    met_before: int = 0  # by a student who had met it on an earlier one
    picks_one: bool = True  # one answer of those offered is picked: then answers can stay unused


@dataclass(frozen=True, kw_only=True)
class Flag:
    code: str
    question: str
    p_value: float
    q_value: float  # adjusted by Benjamini & Hochberg
    option: str = ""


@dataclass(frozen=True, kw_only=True)
class Review:
    """The flags of a bank. `by_chance` says how many of them to expect by chance alone, at most."""

    flags: tuple[Flag, ...]
    judged: tuple[str, ...]  # questions with enough first attempts
    too_few: Mapping[str, str]  # question → why it is not judged

    @property
    def by_chance(self) -> float:
        return FALSE_SHARE * len(self.flags)

    def of(self, question: str) -> tuple[Flag, ...]:
        return tuple(flag for flag in self.flags if flag.question == question)


def adjusted(p_values: Sequence[float]) -> Floats:
    """Return Benjamini–Hochberg adjusted p-values (q-values), in the order given."""
    values = np.asarray(p_values, np.float64)
    count = len(values)
    order = np.argsort(values, kind="stable")
    steps = values[order] * count / np.arange(1, count + 1)
    raised = np.minimum.accumulate(steps[::-1])[::-1]
    q_values = np.empty(count)
    q_values[order] = np.minimum(raised, 1.0)
    return q_values


def review(questions: Iterable[QuestionMeasures], usual: Times | None = None) -> Review:
    """Return the flags of a bank's questions. `usual` is how long its questions take, over all of them."""
    questions = list(questions)
    judged = [measured for measured in questions if measured.item.n >= FEWEST]
    families: dict[str, list[tuple[float, str, str]]] = {}
    for measured in judged:
        for code, p_value, option in _tests(measured, usual):
            families.setdefault(code, []).append((p_value, measured.item.name, option))
    flags = [
        Flag(code=code, question=name, p_value=p_value, q_value=float(q_value), option=option)
        for code, tests in families.items()
        for (p_value, name, option), q_value in zip(tests, adjusted([test[0] for test in tests]), strict=True)
        if q_value <= FALSE_SHARE
    ]
    few = _("fewer than {number} first attempts", number=FEWEST)
    return Review(
        flags=tuple(sorted(flags, key=lambda flag: (ORDER.index(flag.code), flag.q_value, flag.question))),
        judged=tuple(measured.item.name for measured in judged),
        too_few={measured.item.name: few for measured in questions if measured.item.n < FEWEST},
    )


ORDER = (WRONG_KEY, BACKWARD, TOO_HARD, UNUSED, TOO_EASY, SLOW, SEEN)  # the gravest first


def _tests(measured: QuestionMeasures, usual: Times | None) -> Iterable[tuple[str, float, str]]:
    """Yield (flag, p-value, option) for each test this question takes part in."""
    item = measured.item
    yield TOO_EASY, at_least(item.right, item.n, EASY), ""
    yield TOO_HARD, at_most(item.right, item.n, HARD), ""
    if item.r_rest is not None:
        yield BACKWARD, below_zero(item.r_rest, item.n), ""
    if measured.options:
        yield WRONG_KEY, *wrong_key(measured.options)
    if measured.picks_one:
        yield from ((UNUSED, p_value, code) for code, p_value in unused(measured.options))
    if measured.times and usual and measured.times.n >= FEWEST:
        yield SLOW, longer(measured.times, usual.mean + math.log(SLOW_TIMES)), ""
    if measured.met >= FEWEST:
        yield SEEN, at_least(measured.met_before, measured.met, SEEN_SHARE), ""


def at_least(hits: int, count: int, share: float) -> float:
    """Return P(X ≥ hits) for a binomial: low if the true share is above `share`."""
    if hits <= count / 2:  # the shorter tail is added up
        return 1.0 - math.fsum(_binomial(value, count, share) for value in range(hits))
    return math.fsum(_binomial(value, count, share) for value in range(hits, count + 1))


def at_most(hits: int, count: int, share: float) -> float:
    """Return P(X ≤ hits) for a binomial: low if the true share is below `share`."""
    if hits > count / 2:
        return 1.0 - math.fsum(_binomial(value, count, share) for value in range(hits + 1, count + 1))
    return math.fsum(_binomial(value, count, share) for value in range(hits + 1))


def _binomial(hits: int, count: int, share: float) -> float:
    ways = math.lgamma(count + 1) - math.lgamma(hits + 1) - math.lgamma(count - hits + 1)
    return math.exp(ways + hits * math.log(share) + (count - hits) * math.log1p(-share))


def below_zero(r: float, count: int) -> float:
    """Return the one-sided p-value of a negative correlation, by Fisher's z."""
    if count < 4:
        return 1.0
    return _normal_below(math.atanh(max(-0.999999, min(0.999999, r))) * math.sqrt(count - 3))


def longer(times: Times, bar: float) -> float:
    """Return the one-sided p-value of a mean log time above `bar` (normal approximation; n is 20 or more)."""
    error = times.deviation / math.sqrt(times.n)
    if error <= 0:
        return 0.0 if times.mean > bar else 1.0
    return _normal_below((bar - times.mean) / error)


def _normal_below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))


def unused(options: Sequence[OptionFigures]) -> Iterable[tuple[str, float]]:
    """Yield each wrong answer with the p-value of its being picked so seldom, if wrong picks fell evenly on all."""
    wrong = [option for option in options if not option.is_key]
    picks = sum(option.n for option in wrong)
    if len(wrong) > 1:
        for option in wrong:
            yield option.code, (1 - 1 / len(wrong)) ** picks if option.n == 0 else 1.0


def wrong_key(options: Sequence[OptionFigures]) -> tuple[float, str]:
    """Return (p-value, option) for the likeliest wrong key: an answer picked more often than the key *and* by students
    who do better on the other questions.

    The p-value is that of being picked more often, times the number of wrong answers. A hard question with a tempting
    wrong answer passes this test too, but its key is picked by the better students: an answer counts only where its
    correlation with the other questions is higher than the key's, with a one-sided p-value of GAP at most.
    """
    key = next((option for option in options if option.is_key), None)
    wrong = [option for option in options if not option.is_key]
    if key is None or not wrong:
        return 1.0, ""
    better = [option for option in wrong if _by_better_students(key, option) <= GAP]
    return min(((min(1.0, len(wrong) * _picked_more(key, o)), o.code) for o in better), default=(1.0, ""))


def _picked_more(key: OptionFigures, other: OptionFigures) -> float:
    both = key.n + other.n
    return at_least(other.n, both, 0.5) if both else 1.0


def _by_better_students(key: OptionFigures, other: OptionFigures) -> float:
    """Return the one-sided p-value of a higher correlation with the other questions than the key's."""
    if other.r_rest is None or (key.n and key.r_rest is None):
        return 1.0
    if not key.n:
        return below_zero(-other.r_rest, other.n)
    count = round(other.n / other.share) if other.share else 0
    return correlation_gap(other.r_rest, key.r_rest or 0.0, _between(key, other), count)


def _between(key: OptionFigures, other: OptionFigures) -> float:
    """Return the correlation of picking one with picking the other: never both."""
    first, second = key.share or 0.0, other.share or 0.0
    spread = first * (1 - first) * second * (1 - second)
    return -first * second / math.sqrt(spread) if spread > 0 else -1.0


def correlation_gap(first: float, second: float, between: float, count: int) -> float:
    """Return the one-sided p-value of first > second, two correlations with one score (Meng, Rosenthal & Rubin 1992,
    Psychological Bulletin 111:172)."""
    if count < 4:
        return 1.0
    mean = (first * first + second * second) / 2
    factor = min(1.0, (1 - between) / (2 * (1 - mean))) if mean < 1 else 1.0
    h = (1 - factor * mean) / (1 - mean) if mean < 1 else 1.0
    spread = 2 * max(1 - between, 1e-9) * h
    clip = [math.atanh(max(-0.999999, min(0.999999, r))) for r in (first, second)]
    return _normal_below(-(clip[0] - clip[1]) * math.sqrt((count - 3) / spread))
