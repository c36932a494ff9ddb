"""Figures as a file: what is sent, and how a bad file is named."""

import json
from typing import Any

import pytest

from quizzes.figures.rules.counts import AnswerKey, Counts, RuleKey, ScoreKey, Tally
from quizzes.figures.rules.counts_file import read_counts, write_counts
from quizzes.figures.rules.response_files import BadFile


def key(question: str = "q1", month: int = 202609, **more: Any) -> AnswerKey:
    fields: dict[str, Any] = {
        "wording": "w" * 16,
        "first": True,
        "after_study": False,
        "met_before": False,
        "picked": "0",
        "right": True,
        "asked": 3,
        "correct": 2,
    }
    return AnswerKey(question=question, month=month, **(fields | more))


COUNTS = Counts(
    answers={
        key(): Tally(4, 4, 12_000, 36_000_000),
        key(month=202611): Tally(3, 0, 0, 0),
        key("q2"): Tally(4, 0, 0, 0),
        key(first=False, picked="", asked=0, correct=0): Tally(2, 0, 0, 0),
    },
    rules={RuleKey("r1", 202609): (7, 3), RuleKey("r2", 202609): (4, 1)},
    scores={ScoreKey(202609, 3, 2): 4, ScoreKey(202611, 3, 2): 3},
)


def read(data: object) -> Counts:
    return read_counts("f.json", json.dumps(data).encode(), "band-saw")


def sent() -> dict[str, Any]:
    data: dict[str, Any] = json.loads(write_counts("band-saw", COUNTS))
    return data


def test_counts_come_back_with_the_months_of_a_year_together() -> None:
    counts = read(sent())
    assert counts.answers[key(month=202601)] == Tally(7, 4, 12_000, 36_000_000)
    assert counts.scores == {ScoreKey(202601, 3, 2): 7}


def test_questions_and_rules_below_five_students_are_not_sent() -> None:
    counts = read(sent())
    assert {answer.question for answer in counts.answers} == {"q1"}
    assert counts.rules == {RuleKey("r1", 202601): (7, 3)}


def test_the_same_counts_give_the_same_bytes() -> None:
    turned = Counts(answers=dict(reversed(COUNTS.answers.items())), rules=COUNTS.rules, scores=COUNTS.scores)
    assert write_counts("band-saw", turned) == write_counts("band-saw", COUNTS)


def changed(part: str, cell: int, value: object) -> dict[str, Any]:
    data = sent()
    data[part][0][cell] = value
    return data


BAD: list[tuple[object, str]] = [
    ([], "f.json: not a file of figures of version 1"),
    ({"figures": 2}, "f.json: not a file of figures of version 1"),
    ({"figures": 1, "bank": "lathe"}, "f.json: figures of the bank “lathe”"),
    ({"figures": 1, "bank": "band-saw"}, "f.json: “answers” is missing"),
    (sent() | {"rules": [["r1"]]}, "f.json, rules, row 1: 4 cells are needed"),
    (changed("answers", 10, -1), "f.json, answers, row 1, cell 11: “-1” does not belong there"),
    (changed("answers", 10, True), "f.json, answers, row 1, cell 11: “True” does not belong there"),
    (changed("answers", 10, 1.5), "f.json, answers, row 1, cell 11: “1.5” does not belong there"),
    (changed("answers", 10, 10**9), "f.json, answers, row 1, cell 11"),
    (changed("answers", 0, "q" * 81), "f.json, answers, row 1, cell 1"),
    (changed("answers", 3, 1), "f.json, answers, row 1, cell 4"),
    (changed("rules", 3, 8), "f.json, rules, row 1: more students missed the rule than met it"),
]


@pytest.mark.parametrize(("data", "sentence"), BAD, ids=[sentence for _, sentence in BAD])
def test_a_bad_file_is_named_by_row_and_cell(data: object, sentence: str) -> None:
    with pytest.raises(BadFile) as error:
        read(data)
    assert str(error.value).startswith(sentence)


def test_invalid_json_is_reported_with_its_line() -> None:
    with pytest.raises(BadFile, match=r"^f.json, line 2: not a file of figures"):
        read_counts("f.json", b'{"figures": 1,\n oops}', "band-saw")


def test_more_right_than_asked_is_refused() -> None:
    data = sent()
    for row in data["answers"]:
        row[9] = row[8] + 1
    with pytest.raises(BadFile, match="more are right or timed than there are"):
        read(data)
