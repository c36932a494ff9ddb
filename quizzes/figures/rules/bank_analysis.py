"""The figures of one bank: each question on first attempts, what changes later, flags, certainty.

All of a question's figures come from counts, whether kept ones (a page) or those of attempts just loaded (a command).
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from quizzes.facts import BankText
from quizzes.figures.rules.analysis.cells import Cell, question_figures
from quizzes.figures.rules.analysis.change import Change, change
from quizzes.figures.rules.analysis.facts import NOT_ASKED, Responses
from quizzes.figures.rules.analysis.flags import FEWEST, QuestionMeasures, Review, Times, review
from quizzes.figures.rules.as_data import Data, analysis_data, option_data, review_data, scale_data
from quizzes.figures.rules.contributions import Contribution, key_of, offered, wording
from quizzes.figures.rules.counts import AnswerKey, Counts, Tally, counts_of
from quizzes.guessing.certainty import Score, certainty, certainty_data
from shopsafe.language.messages import _

AttemptRows = Sequence[Sequence[Contribution]]  # one row an attempt


@dataclass(frozen=True, kw_only=True)
class QuestionHistory:
    """What all attempts tell about one question in its present wording."""

    measured: QuestionMeasures
    later: Change  # later attempts against first ones
    studied: Change  # after studying a missed rule against first attempts


@dataclass(frozen=True, kw_only=True)
class BankFigures:
    """The figures of a bank's live questions, each in its present wording."""

    text: BankText
    histories: Mapping[str, QuestionHistory]
    review: Review
    usual: Times | None
    scores: tuple[Score, ...]

    @property
    def first_attempts(self) -> int:
        return sum(score.students for score in self.scores)


Row = tuple[AnswerKey, Tally]


def bank_figures(text: BankText, counts: Counts) -> BankFigures:
    """Return the figures of a bank from its counts."""
    present = {question.code: wording(text, question.code) for question in text.live_questions}
    rows: dict[str, list[Row]] = defaultdict(list)
    for key, tally in counts.answers.items():
        if present.get(key.question) == key.wording:
            rows[key.question].append((key, tally))
    histories = {code: _history(text, code, rows[code]) for code in present}
    usual = _times(row for code in present for row in rows[code])
    scores: dict[tuple[int, int], int] = defaultdict(int)
    for score, students in counts.scores.items():
        scores[score.asked, score.correct] += students
    return BankFigures(
        text=text,
        histories=histories,
        review=review([history.measured for history in histories.values()], usual),
        usual=usual,
        scores=tuple(Score(asked, correct, students) for (asked, correct), students in sorted(scores.items())),
    )


def _history(text: BankText, code: str, rows: Sequence[Row]) -> QuestionHistory:
    question = text.question_by_code[code]
    first = [(key, tally) for key, tally in rows if key.first]
    figures = question_figures(code, list(_cells(first)), offered(question), key_of(question, text))
    met = sum(tally.students for _, tally in rows)
    return QuestionHistory(
        measured=QuestionMeasures(
            item=figures.item,
            options=figures.options,
            times=_times(first),
            met=met,
            met_before=sum(tally.students for key, tally in rows if key.met_before),
            picks_one=bool(offered(question)),
        ),
        later=change(_right(first), _right((key, tally) for key, tally in rows if not key.first)),
        studied=change(_right(first), _right((key, tally) for key, tally in rows if key.after_study)),
    )


def _cells(rows: Iterable[Row]) -> Iterator[Cell]:
    for key, tally in rows:
        if tally.students:
            yield Cell(key.picked, key.right, key.asked, key.correct, tally.students)


def _right(rows: Iterable[Row]) -> tuple[int, int]:
    """Return (right, answers)."""
    right = count = 0
    for key, tally in rows:
        count += tally.students
        right += tally.students if key.right else 0
    return right, count


def _times(rows: Iterable[Row]) -> Times | None:
    """Return the mean and the deviation (ddof 1) of log seconds; they are kept in thousandths."""
    count = total = squares = 0
    for _key, tally in rows:
        count, total, squares = count + tally.timed, total + tally.log_time, squares + tally.log_time_squared
    if count < 2:
        return None
    spread = (squares - total * total / count) / (count - 1)
    return Times(n=count, mean=total / count / 1000, deviation=math.sqrt(max(spread, 0.0)) / 1000)


# ---- as JSON --------------------------------------------------------------------------------------------------------


def bank_data(text: BankText, attempt_rows: AttemptRows) -> Data:
    """Return the figures of a bank as JSON: the whole as one test of its questions, then each question."""
    figures = bank_figures(text, counts_of((0, parts) for parts in attempt_rows))
    firsts = [row for row in attempt_rows if row and row[0].first]
    responses = first_responses(text, firsts)
    families = {rule.code: [q.code for q in text.live_questions if q.rule == rule.code] for rule in text.live_rules}
    data = analysis_data(responses)
    for item in data["items"]:
        item |= _question_data(figures.histories[item["name"]]) | _carried(item)
    return {
        "bank": text.code,
        "attempts": len(attempt_rows),
        "first_attempts": len(firsts),
        **data,
        "rasch": scale_data(responses, families),
        **review_data(figures.review),
        "certainty": certainty_data(certainty(text.blueprint.ask, figures.scores)),
    }


TELLING = ("r_pb", "r_rest", "d27", "alpha_if_deleted")


def _carried(item: Data) -> Data:
    """Return None, with the reason, for what a question's few first attempts can't carry."""
    if item["n"] >= FEWEST:
        return {}
    few = dict.fromkeys(TELLING, _("fewer than {number} first attempts", number=FEWEST))
    return dict.fromkeys(TELLING) | {"reasons": item.get("reasons", {}) | few}


def first_responses(text: BankText, firsts: AttemptRows) -> Responses:
    """Return the answers of first attempts to the bank's questions, each in its present wording."""
    names = tuple(question.code for question in text.live_questions)
    columns = {name: column for column, name in enumerate(names)}
    wordings = {name: wording(text, name) for name in names}
    cells = np.full((len(firsts), len(names)), NOT_ASKED, np.int8)
    for row, contributions in enumerate(firsts):
        for part in contributions:
            if wordings.get(part.question) == part.wording:
                cells[row, columns[part.question]] = part.right
    return Responses(names=names, cells=cells)


def _question_data(history: QuestionHistory) -> Data:
    measured = history.measured
    return {
        "options": [option_data(option) for option in measured.options],
        "typical_seconds": math.exp(measured.times.mean) if measured.times else None,
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
