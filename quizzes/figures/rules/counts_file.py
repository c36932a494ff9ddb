"""The counts of a bank as a file: figures to send, without people. Questions that fewer than five met stay out.

JSON: {"figures": 1, "bank": code, "answers": [...], "rules": [...], "scores": [...]}, each row its key and its numbers.
Months are given as the year's first alone, so that no lesson can be made out.
"""

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from quizzes.figures.rules.counts import AnswerKey, Counts, RuleKey, ScoreKey, Tally
from quizzes.figures.rules.response_files import BadFile
from quizzes.figures.rules.reteaching import SHOWN
from shopsafe.language.messages import _

VERSION = 1
MOST_BYTES = 10_000_000
JANUARY = 1


def write_counts(code: str, counts: Counts) -> bytes:
    """Return a bank's counts as a file. The same counts give the same bytes."""
    first: dict[str, int] = defaultdict(int)
    for key, tally in counts.answers.items():
        first[key.question] += tally.students if key.first else 0
    answers: dict[AnswerKey, list[int]] = defaultdict(lambda: [0] * len(Tally._fields))
    for key, tally in counts.answers.items():
        if first[key.question] >= SHOWN:
            _add(answers[key._replace(month=_year(key.month))], tally)
    rules: dict[RuleKey, list[int]] = defaultdict(lambda: [0, 0])
    for rule, numbers in counts.rules.items():
        _add(rules[rule._replace(month=_year(rule.month))], numbers)
    scores: dict[ScoreKey, list[int]] = defaultdict(lambda: [0])
    for score, students in counts.scores.items():
        _add(scores[score._replace(month=_year(score.month))], (students,))
    data = {
        "figures": VERSION,
        "bank": code,
        "answers": [[*key, *numbers] for key, numbers in sorted(answers.items()) if any(numbers)],
        "rules": [[*rule, *numbers] for rule, numbers in sorted(rules.items()) if numbers[0] >= SHOWN],
        "scores": [[*score, *numbers] for score, numbers in sorted(scores.items()) if any(numbers)],
    }
    return (json.dumps(data, ensure_ascii=False, indent=0) + "\n").encode()


def _add(sums: list[int], numbers: tuple[int, ...]) -> None:
    for place, number in enumerate(numbers):
        sums[place] += number


def _year(month: int) -> int:
    return month // 100 * 100 + JANUARY


def read_counts(name: str, content: bytes, code: str) -> Counts:
    """Return the counts in a file for the bank `code`. Raises BadFile, which names the row and what is wrong."""
    data = _data(name, content, code)
    answers = {AnswerKey._make(row[:10]): Tally._make(row[10:]) for row in _rows(name, data, "answers", ANSWER)}
    rules = {RuleKey._make(row[:2]): (row[2], row[3]) for row in _rows(name, data, "rules", RULE)}
    scores = {ScoreKey._make(row[:3]): row[3] for row in _rows(name, data, "scores", SCORE)}
    for number, (key, tally) in enumerate(answers.items(), 1):
        if key.correct > key.asked or tally.timed > tally.students:
            raise BadFile(
                _("{file}, answers, row {row}: more are right or timed than there are.", file=name, row=number)
            )
    for number, (met, missed) in enumerate(rules.values(), 1):
        if missed > met:
            raise BadFile(
                _("{file}, rules, row {row}: more students missed the rule than met it.", file=name, row=number)
            )
    return Counts(answers=answers, rules=rules, scores=scores)


def _data(name: str, content: bytes, code: str) -> Mapping[str, Any]:
    if len(content) > MOST_BYTES:
        raise BadFile(_("{file}: more than {number} MB.", file=name, number=MOST_BYTES // 1000000))
    try:
        data = json.loads(content)
    except (UnicodeDecodeError, json.JSONDecodeError) as error:
        line = getattr(error, "lineno", 1)
        raise BadFile(
            _("{file}, line {line}: not a file of figures. Save it again from the other school.", file=name, line=line)
        ) from None
    if not isinstance(data, dict) or data.get("figures") != VERSION:
        raise BadFile(
            _(
                "{file}: not a file of figures of version {version}. Save it again from the other school.",
                file=name,
                version=VERSION,
            )
        )
    if data.get("bank") != code:
        raise BadFile(
            _("{file}: figures of the bank “{bank}”. Open that bank to add them.", file=name, bank=data.get("bank"))
        )
    return data


@dataclass(frozen=True)
class Column:
    """What a cell may hold: a text of so many characters, a number up to so many, or yes and no."""

    kind: type
    most: int = 1

    def fits(self, cell: Any) -> bool:
        match cell:
            case bool():
                return self.kind is bool
            case str():
                return self.kind is str and len(cell) <= self.most
            case int():
                return self.kind is int and 0 <= cell <= self.most
        return False


CODE, WORDING, PICKED, YES_NO = Column(str, 80), Column(str, 16), Column(str, 40), Column(bool)
MONTH, QUESTIONS, STUDENTS, SUM = Column(int, 999_912), Column(int, 1_000), Column(int, 1_000_000), Column(int, 10**15)
ANSWER = (
    CODE,
    WORDING,
    MONTH,
    YES_NO,
    YES_NO,
    YES_NO,
    PICKED,
    YES_NO,
    QUESTIONS,
    QUESTIONS,
    STUDENTS,
    STUDENTS,
    SUM,
    SUM,
)
RULE = (CODE, MONTH, STUDENTS, STUDENTS)
SCORE = (MONTH, QUESTIONS, QUESTIONS, STUDENTS)


def _rows(name: str, data: Mapping[str, Any], part: str, columns: tuple[Column, ...]) -> Iterator[list[Any]]:
    rows = data.get(part)
    if not isinstance(rows, list):
        raise BadFile(
            _("{file}: “{part}” is missing. Save the file again from the other school.", file=name, part=part)
        )
    for number, row in enumerate(rows, 1):
        if not isinstance(row, list) or len(row) != len(columns):
            raise BadFile(
                _(
                    "{file}, {part}, row {row}: {number} cells are needed.",
                    file=name,
                    part=part,
                    row=number,
                    number=len(columns),
                )
            )
        for place, (cell, column) in enumerate(zip(row, columns, strict=True), 1):
            if not column.fits(cell):
                raise BadFile(
                    _(
                        "{file}, {part}, row {row}, cell {cell}: “{text}” does not belong there.",
                        file=name,
                        part=part,
                        row=number,
                        cell=place,
                        text=str(cell)[:20],
                    )
                )
        yield row
