"""The figures of one bank from its attempts: each question on first attempts, what changes later, flags, certainty."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from quizzes.facts import BankText
from quizzes.figures.rules.analysis.cells import Cell, question_figures
from quizzes.figures.rules.analysis.change import Change, change
from quizzes.figures.rules.analysis.facts import NOT_ASKED, Responses
from quizzes.figures.rules.analysis.flags import Measured, Times, review
from quizzes.figures.rules.as_data import Data, analysis_data, option_data, review_data, scale_data
from quizzes.figures.rules.contributions import Contribution, key_of, log_seconds, offered, wording
from quizzes.guessing.certainty import Certainty, Score, Sure, certainty

Told = Sequence[Sequence[Contribution]]  # one row an attempt


@dataclass(frozen=True, kw_only=True)
class QuestionHistory:
    """What all attempts tell about one question in its present wording."""

    measured: Measured
    later: Change  # later attempts against first ones
    studied: Change  # after studying a missed rule against first attempts


def bank_data(bank: BankText, told: Told) -> Data:
    """Return the figures of a bank as JSON: the whole as one test of its questions, then each question."""
    names = tuple(question.code for question in bank.live_questions)
    histories = {name: history(bank, name, told) for name in names}
    firsts = [row for row in told if row and row[0].first]
    responses = first_responses(bank, firsts)
    checked = review([history.measured for history in histories.values()], usual_times(firsts))
    families = {rule.code: [q.code for q in bank.live_questions if q.rule == rule.code] for rule in bank.live_rules}
    data = analysis_data(responses)
    for item in data["items"]:
        item |= _question_data(histories[item["name"]])
    return {
        "bank": bank.code,
        "attempts": len(told),
        "first_attempts": len(firsts),
        **data,
        "rasch": scale_data(responses, families),
        **review_data(checked),
        "certainty": certainty_data(certainty(bank.blueprint.ask, scores(firsts))),
    }


def first_responses(bank: BankText, firsts: Told) -> Responses:
    """Return the answers of first attempts to the bank's questions, each in its present wording."""
    names = tuple(question.code for question in bank.live_questions)
    columns = {name: column for column, name in enumerate(names)}
    wordings = {name: wording(bank, name) for name in names}
    cells = np.full((len(firsts), len(names)), NOT_ASKED, np.int8)
    for row, contributions in enumerate(firsts):
        for part in contributions:
            if wordings.get(part.question) == part.wording:
                cells[row, columns[part.question]] = part.right
    return Responses(names=names, cells=cells)


def history(bank: BankText, name: str, told: Told) -> QuestionHistory:
    """Return what the attempts tell about one question."""
    question, present = bank.question_by_code[name], wording(bank, name)
    parts = [part for row in told for part in row if part.question == name and part.wording == present]
    first = [part for part in parts if part.first]
    figures = question_figures(name, cells(first), offered(question), key_of(question, bank))
    return QuestionHistory(
        measured=Measured(
            item=figures.item,
            options=figures.options,
            times=times_of(first),
            met=len(parts),
            met_before=sum(part.met_before for part in parts),
            picks_one=bool(offered(question)),
        ),
        later=change(_right(first), _right([part for part in parts if not part.first])),
        studied=change(_right(first), _right([part for part in parts if part.after_study])),
    )


def cells(parts: Iterable[Contribution]) -> list[Cell]:
    """Count answers by what was picked and by the score on the form."""
    counts = Counter((part.picked, part.right, part.asked, part.correct) for part in parts)
    return [Cell(*key, students) for key, students in counts.items()]


def times_of(parts: Iterable[Contribution]) -> Times | None:
    count, mean, deviation = log_seconds([part.seconds for part in parts if part.seconds])
    return Times(n=count, mean=mean, deviation=deviation) if count > 1 else None


def usual_times(firsts: Told) -> Times | None:
    """Return how long a question of the bank takes, over all answers on first attempts."""
    return times_of(part for row in firsts for part in row)


def scores(firsts: Told) -> list[Score]:
    """Count first attempts by their score."""
    counts = Counter((row[0].asked, row[0].correct) for row in firsts)
    return [Score(*key, students) for key, students in counts.items()]


def by_question(told: Told) -> Mapping[str, list[Contribution]]:
    """Return the contributions of each question."""
    found: dict[str, list[Contribution]] = defaultdict(list)
    for row in told:
        for part in row:
            found[part.question].append(part)
    return found


def _right(parts: Sequence[Contribution]) -> tuple[int, int]:
    return sum(part.right for part in parts), len(parts)


def _question_data(history: QuestionHistory) -> Data:
    measured = history.measured
    return {
        "options": [option_data(option) for option in measured.options],
        "typical_seconds": float(np.exp(measured.times.mean)) if measured.times else None,
        "timed": measured.times.n if measured.times else 0,
        "met": measured.met,
        "met_before": measured.met_before,
        "later_less_first": change_data(history.later),
        "after_study_less_first": change_data(history.studied),
    }


def change_data(change: Change) -> Data:
    data: dict[str, Any] = {
        "before": change.before,
        "after": change.after,
        "n_before": change.n_before,
        "n_after": change.n_after,
        "gain": change.gain,
        "low": change.low,
        "high": change.high,
    }
    return data | ({"reason": change.reason} if change.reason else {})


def certainty_data(sure: Certainty) -> Data:
    return {
        "first_attempts": sure.attempts,
        "measured": sure.measured,
        **({"reason": sure.reason} if sure.reason else {}),
        "alpha": sure.alpha,
        "beta": sure.beta,
        "quiz": _sure_data(sure.quiz),
        "lengths": [_sure_data(one) for one in sure.lengths],
    }


def _sure_data(sure: Sure) -> Data:
    return {
        "questions": sure.questions,
        "at_least_95": sure.at_least,
        "knows_9_in_10": sure.knows,
        "passes_first_time": sure.passes,
        "knowing_student_misses_once": sure.slips,
        "careful_student_misses_once": sure.careful_slips,
    }
