"""What earlier, invented students answered: counts without people, so that pages of figures have something to show."""

import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from quizzes.facts import AllThatApply, BankText, History, Measure, Order, Pair, Question
from quizzes.figures.rules.contributions import Contribution, key_of, offered, wording
from quizzes.figures.rules.counts import Counts, counts_of, month_of
from quizzes.questions.assembly import assemble

MONTHS = 8  # from the first month of an earlier school year on
SPREAD = 1.0  # standard deviation of what students know, in logits
USUAL = 1.6  # what the average student knows more than the average question asks
FOOLS_NO_ONE = 0.06  # share of choices with a wrong answer that no one picks


@dataclass(frozen=True, kw_only=True)
class Nature:
    """What a question is like: how hard, in logits; how many seconds it takes, as a logarithm; which wrong answers of a
    choice tempt how much; and, where the key in the bank is wrong, what those who know answer."""

    difficulty: float
    log_seconds: float
    temptations: tuple[float, ...]
    true_key: str = ""


def earlier_years(
    text: BankText, students: int, first_day: date, seed: int, known: Mapping[str, Nature] | None = None
) -> Counts:
    """Return the counts of first attempts by so many invented students, in the months after `first_day`.

    Each knows more or less, and each question has a nature, by lot from `seed`; `known` gives the nature of some.
    """
    dice = random.Random(seed)  # noqa: S311  the same school every time
    natures = {question.code: _nature(question, dice) for question in text.live_questions} | dict(known or {})
    return counts_of((_month(first_day, dice), tuple(_attempt(text, natures, dice))) for _ in range(students))


def _nature(question: Question, dice: random.Random) -> Nature:
    wrong = max(len(offered(question)) - 1, 0)
    tempting = [dice.uniform(0.3, 1) for _ in range(wrong)]
    if wrong > 1 and dice.random() < FOOLS_NO_ONE:
        tempting[-1] = 0.0
    return Nature(difficulty=dice.gauss(0, 0.9), log_seconds=dice.gauss(3, 0.2), temptations=tuple(tempting))


def _month(first_day: date, dice: random.Random) -> int:
    later = first_day.month - 1 + dice.randrange(MONTHS)
    return month_of(first_day.year + later // 12, later % 12 + 1)


def _attempt(text: BankText, natures: Mapping[str, Nature], dice: random.Random) -> Iterator[Contribution]:
    """Yield what one student's first attempt tells of each question on its form."""
    knows = dice.gauss(USUAL, SPREAD)
    answers = {}
    for line in assemble(text, History(), dice).lines:
        question = text.question_by_code[line.code]
        nature = natures[line.code]
        true = nature.true_key or key_of(question, text)
        is_known = dice.random() < 1 / (1 + math.exp(nature.difficulty - knows))
        answers[line.code] = true if is_known else _wrong(question, text, nature, true, dice)
    correct = sum(picked == key_of(text.question_by_code[code], text) for code, picked in answers.items())
    for code, picked in answers.items():
        question = text.question_by_code[code]
        yield Contribution(
            question=code,
            wording=wording(text, code),
            rule=question.rule,
            first=True,
            after_study=False,
            met_before=False,
            picked=picked,
            right=picked == key_of(question, text),
            asked=len(answers),
            correct=correct,
            seconds=math.exp(dice.gauss(natures[code].log_seconds, 0.5)),
        )


def _wrong(question: Question, text: BankText, nature: Nature, true: str, dice: random.Random) -> str:
    """Return an answer of someone who does not know."""
    if offered(question):
        wrong = [code for code in offered(question) if code != true]
        return dice.choices(wrong, nature.temptations[: len(wrong)])[0]
    match question:
        case AllThatApply():
            return ",".join(map(str, range(len(question.right) - 1))) or str(len(question.right))
        case Order():
            return ",".join(map(str, [1, 0, *range(2, len(question.steps))]))
        case Pair():
            return ",".join(map(str, [1, 0, *range(2, len(question.pairs))]))
        case Measure():
            return f"1 {text.value_by_code[question.value].unit}"
    raise TypeError(f"no wrong answer to {question!r}")
