"""What one graded attempt tells about each of its questions: the answer picked, right or not, and how long it took.

Only a student's first attempt at a bank says how well the class knew the rules: later ones follow study, and everyone's
last attempt is perfect. A first attempt that was voided is left out, and no later one takes its place, because its
student has seen questions already.
"""

import hashlib
import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import assert_never

from quizzes.banks.rules.data import question_data
from quizzes.facts import AllThatApply, Answer, BankText, FormQuestion, Measure, OneAnswer, Order, Pair, Question, Spot
from quizzes.questions.answering import Response, answer_of
from quizzes.questions.lengths import Unreadable, read_quantity

LONGEST_SECONDS = 600.0  # a longer pause is not thinking about one question: class was over, or lunch
NO_ANSWER = "none"
UNREADABLE = "unreadable"


@dataclass(frozen=True, kw_only=True)
class Contribution:
    """One question of one graded attempt."""

    question: str
    wording: str  # of the question as this student met it: figures of another wording are not added to it
    rule: str
    first: bool  # on the student's first attempt at the bank
    after_study: bool  # on the attempt that follows the study of its rule
    met_before: bool  # the student had met this question on an earlier attempt
    picked: str
    right: bool
    asked: int
    correct: int
    seconds: float | None


@dataclass(frozen=True, kw_only=True)
class GradedAttempt:
    """A handed-in attempt, as far as figures ask."""

    lines: tuple[FormQuestion, ...]
    responses: Mapping[str, Response]
    saved_at: Mapping[str, datetime]  # question → when its answer was last saved
    started_at: datetime
    wrong: frozenset[str]  # questions answered wrongly
    first: bool
    studied: frozenset[str]  # rules missed on the attempt before it, whose cards were studied in between
    seen: frozenset[str]  # questions on the student's earlier forms
    timed: bool = True  # answered on a screen


def contributions(bank: BankText, attempt: GradedAttempt) -> tuple[Contribution, ...]:
    """Return what the attempt tells about each question on its form, in the order of the form."""
    seconds = _seconds(attempt) if attempt.timed else {}
    correct = sum(line.code not in attempt.wrong for line in attempt.lines)
    return tuple(
        Contribution(
            question=line.code,
            wording=wording(bank, line.code),
            rule=line.rule,
            first=attempt.first,
            after_study=line.rule in attempt.studied,
            met_before=line.code in attempt.seen,
            picked=_picked(bank, attempt, line),
            right=line.code not in attempt.wrong,
            asked=len(attempt.lines),
            correct=correct,
            seconds=seconds.get(line.code),
        )
        for line in attempt.lines
    )


def _picked(bank: BankText, attempt: GradedAttempt, line: FormQuestion) -> str:
    """Return the answer picked. Right ones all count as the key: steps may change places, a number may be near."""
    question = bank.question_by_code[line.code]
    if line.code not in attempt.wrong:
        return key_of(question, bank)
    return picked(question, answer_of(line, attempt.responses.get(line.code)), bank)


def _seconds(attempt: GradedAttempt) -> dict[str, float]:
    """Return how long each answer took: from the save before it to its own last save, in the order of the saves.

    An answer that was changed later counts from the save before that change, so its time is that of the change.
    """
    saves = sorted((at, code) for code, at in attempt.saved_at.items())
    times, before = {}, attempt.started_at
    for at, code in saves:
        spent = (at - before).total_seconds()
        if 1 <= spent <= LONGEST_SECONDS:
            times[code] = spent
        before = at
    return times


def picked(question: Question, answer: Answer, bank: BankText) -> str:
    """Return an answer as a short text that is the same for the same answer: places in the bank, or an amount."""
    if answer is None:
        return NO_ANSWER
    match question:
        case OneAnswer() | Spot():
            return str(answer)
        case AllThatApply() if isinstance(answer, frozenset):
            return ",".join(map(str, sorted(answer)))
        case Order() | Pair() if isinstance(answer, tuple):
            return ",".join(map(str, answer))
        case Measure() if isinstance(answer, str):
            return _amount(answer, bank.value_by_code[question.value].unit)
    return UNREADABLE


def _amount(text: str, unit: str) -> str:
    try:
        quantity = read_quantity(text, unit)
    except Unreadable:
        return UNREADABLE
    return f"{Fraction(quantity.amount)} {quantity.unit}"[:40]


def key_of(question: Question, bank: BankText) -> str:
    """Return the right answer in the form that `picked` gives it."""
    match question:
        case OneAnswer():
            return "0"
        case Spot():
            return str(question.right - 1)
        case AllThatApply():
            return ",".join(map(str, range(len(question.right))))
        case Order():
            return ",".join(map(str, range(len(question.steps))))
        case Pair():
            return ",".join(map(str, range(len(question.pairs))))
        case Measure():
            value = bank.value_by_code[question.value]
            return _amount(f"{value.key(question.row)} {value.unit}", value.unit)
        case _:
            assert_never(question)


def offered(question: Question) -> tuple[str, ...]:
    """Return the answers a student picks one from, in the form that `picked` gives them; empty for other kinds."""
    match question:
        case OneAnswer():
            return tuple(map(str, range(1 + len(question.wrong))))
        case Spot():
            return tuple(map(str, range(len(question.places))))
    return ()


def wording(bank: BankText, code: str) -> str:
    """Return a short digest of a question as asked, with its options, its key and its number to know."""
    question = bank.question_by_code[code]
    data = question_data(question) | {"retired": None, "rule": None}
    if isinstance(question, Measure):
        value = bank.value_by_code[question.value]
        data |= {"amount": value.key(question.row), "unit": value.unit, "bound": value.bound}
    return hashlib.sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()[:16]


def rules_met(parts: Collection[Contribution]) -> dict[str, bool]:
    """Return rule → whether any of its questions on this attempt was wrong."""
    missed: dict[str, bool] = {}
    for contribution in parts:
        missed[contribution.rule] = missed.get(contribution.rule, False) or not contribution.right
    return missed
