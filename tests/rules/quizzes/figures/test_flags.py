"""Flags: what is found, what is left alone, and how many are chance."""

import numpy as np
import pytest
from scipy.stats import binom

from quizzes.figures.rules.analysis import flags
from quizzes.figures.rules.analysis.cells import Cell, question_figures
from quizzes.figures.rules.analysis.facts import Picks
from quizzes.figures.rules.analysis.flags import QuestionMeasures, Times, review
from quizzes.figures.rules.analysis.items import analyse
from quizzes.figures.rules.analysis.options import option_tables

OPTIONS = ("A", "B", "C", "D")


def school(students: int, seed: int, *, kind: str, questions: int = 30, asked: int = 10) -> list[QuestionMeasures]:
    """First attempts of a school. Question 0 has the wrong key ("wrong"), is honest but hard ("hard"), or is plain.

    Students differ by a standard deviation of one logit, and know most rules; each gets ten questions of thirty.
    """
    dice = np.random.default_rng(seed)
    ability, difficulty = dice.normal(1.5, 1, students), dice.normal(0, 0.8, questions)
    if kind == "hard":
        difficulty[0] = 3.2
    knows = dice.random((students, questions)) < 1 / (1 + np.exp(difficulty - ability[:, None]))
    wrong = dice.choice([1, 2, 3], (students, questions), p=[0.6, 0.3, 0.1])
    if kind == "hard":
        wrong[:, 0] = dice.choice([1, 2, 3], students, p=[0.85, 0.1, 0.05])
    met = dice.permuted(np.tile(np.arange(questions) < asked, (students, 1)), axis=1)
    cells = np.where(met, np.where(knows, 0, wrong), -1).astype(np.int16)
    keys = (1 if kind == "wrong" else 0, *[0] * (questions - 1))
    names = tuple(f"q{j}" for j in range(questions))
    picks = Picks(names=names, codes=(OPTIONS,) * questions, keys=keys, cells=cells)
    items, tables = analyse(picks.responses()).items, option_tables(picks)
    return [QuestionMeasures(item=item, options=table) for item, table in zip(items, tables, strict=True)]


def wrong_keys(measured: list[QuestionMeasures]) -> list[str]:
    return [flag.question for flag in review(measured).flags if flag.code == flags.WRONG_KEY]


def test_most_wrong_keys_are_found() -> None:
    results = [wrong_keys(school(300, seed, kind="wrong")) for seed in range(40)]
    assert sum("q0" in names for names in results) >= 30
    assert sum(len(set(names) - {"q0"}) for names in results) == 0


def test_a_hard_question_is_not_taken_for_a_wrong_key() -> None:
    """Most students pick the same wrong answer, but the better ones pick the key."""
    results = [wrong_keys(school(300, seed, kind="hard")) for seed in range(100)]
    assert sum(map(len, results)) <= 3


def test_a_wrong_key_names_the_answer_that_beats_it() -> None:
    (flag,) = [f for f in review(school(600, 7, kind="wrong")).flags if f.code == flags.WRONG_KEY]
    assert (flag.question, flag.option) == ("q0", "A")


def test_false_alarms_stay_under_their_share() -> None:
    """Every question is sound and right seven times in ten by luck alone: no flag of a backward question is true."""
    alarms = shown = 0
    for seed in range(200):
        dice = np.random.default_rng(seed)
        cells = (dice.random((120, 20)) < 0.7).astype(np.int16) ^ 1
        picks = Picks(names=tuple(f"q{j}" for j in range(20)), codes=(("A", "B"),) * 20, keys=(0,) * 20, cells=cells)
        results = review(QuestionMeasures(item=item) for item in analyse(picks.responses()).items)
        backward = [flag for flag in results.flags if flag.code == flags.BACKWARD]
        alarms += bool(backward)
        shown += len(results.flags)
    assert alarms / 200 <= 0.16, "one school in ten, and three standard errors of 200"
    assert shown < 60


def measured(picks: dict[str, int], **more: object) -> QuestionMeasures:
    """A question on a form of ten: so many picked each answer; A is right. All did as well on the other nine."""
    counts = [Cell(code, code == "A", 10, 8 + (code == "A"), n) for code, n in picks.items() if n]
    figures = question_figures("q", counts, OPTIONS, "A")
    return QuestionMeasures(item=figures.item, options=figures.options, **more)  # type: ignore[arg-type]


def codes(*measured: QuestionMeasures, usual: Times | None = None) -> list[tuple[str, str]]:
    return [(flag.code, flag.option) for flag in review(measured, usual).flags]


def test_nineteen_first_attempts_are_too_few() -> None:
    results = review([measured({"A": 19})])
    assert (results.flags, results.judged, dict(results.too_few)) == ((), (), {"q": "fewer than 20 first attempts"})


@pytest.mark.parametrize(("right", "flagged"), [(60, True), (57, False)])
def test_too_easy_means_surely_more_than_nine_in_ten(right: int, flagged: bool) -> None:
    assert (binom.sf(right - 1, 60, 0.9) <= 0.1) == flagged
    assert ((flags.TOO_EASY, "") in codes(measured({"A": right, "B": 60 - right}))) == flagged


@pytest.mark.parametrize(("right", "flagged"), [(8, True), (17, False)])
def test_too_hard_means_surely_under_three_in_ten(right: int, flagged: bool) -> None:
    assert (binom.cdf(right, 60, 0.3) <= 0.1) == flagged
    spread = {"A": right, "B": 20, "C": 20, "D": 20 - right}
    assert ((flags.TOO_HARD, "") in codes(measured(spread))) == flagged


def test_an_answer_no_one_picks_is_named() -> None:
    """15 wrong picks fall on two of three wrong answers: (2/3)^15 = .0023."""
    assert codes(measured({"A": 31, "B": 9, "C": 6})) == [(flags.UNUSED, "D")]


def test_an_unused_answer_needs_wrong_picks_to_show() -> None:
    assert (flags.UNUSED, "D") not in codes(measured({"A": 44, "B": 1, "C": 1}))


def test_answers_that_are_typed_or_sorted_are_never_unused() -> None:
    assert codes(measured({"A": 31, "B": 9, "C": 6}, picks_one=False)) == []


def test_a_slow_question_takes_surely_half_as_long_again() -> None:
    slow = measured({"A": 30, "B": 5, "C": 5, "D": 5}, times=Times(n=45, mean=4.0, deviation=0.5))
    assert codes(slow, usual=Times(n=900, mean=3.2, deviation=0.6)) == [(flags.SLOW, "")]
    assert codes(slow, usual=Times(n=900, mean=3.7, deviation=0.6)) == []


def test_a_question_met_again_and_again_is_seen_too_often() -> None:
    often = measured({"A": 30, "B": 5, "C": 5, "D": 5}, met=100, met_before=55)
    assert codes(often) == [(flags.SEEN, "")]
    assert codes(measured({"A": 30, "B": 5, "C": 5, "D": 5}, met=100, met_before=30)) == []


def test_the_flags_expected_by_chance_are_a_tenth_of_those_shown() -> None:
    results = review([measured({"A": 31, "B": 9, "C": 6})])
    assert results.by_chance == pytest.approx(0.1)
    assert results.of("q") == results.flags


@pytest.mark.parametrize(("hits", "count", "share"), [(0, 20, 0.3), (7, 20, 0.3), (20, 20, 0.9), (45, 60, 0.9)])
def test_binomial_tails_agree_with_scipy(hits: int, count: int, share: float) -> None:
    assert flags.at_least(hits, count, share) == pytest.approx(binom.sf(hits - 1, count, share))
    assert flags.at_most(hits, count, share) == pytest.approx(binom.cdf(hits, count, share))


def test_gap_of_two_correlations_by_hand() -> None:
    """Meng, Rosenthal & Rubin 1992, Psychological Bulletin 111:172, their example (from memory): r = .63 and −.03,
    r between them −.19, N = 15: z = 1.68."""
    from scipy.stats import norm

    assert norm.isf(flags.correlation_gap(0.63, -0.03, -0.19, 15)) == pytest.approx(1.68, abs=0.01)
