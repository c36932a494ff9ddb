"""What the figures of a question say, in a teacher's words: first whether it is good, then what to do about it."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from quizzes.facts import BankText, Measure, Order, Pair, Question, option_texts, pair_left_texts
from quizzes.figures.rules.analysis import flags
from quizzes.figures.rules.analysis.facts import OptionFigures
from quizzes.figures.rules.analysis.flags import FEWEST, Flag, Times
from quizzes.figures.rules.bank_analysis import BankFigures, QuestionHistory
from quizzes.figures.rules.contributions import NO_ANSWER, UNREADABLE

GOOD, NOTE, FIX = "good", "note", "fix"
CHANGE_ANSWER, CORRECT_KEY, EDIT, ADD_QUESTION = "change-answer", "correct-key", "edit", "add-question"


@dataclass(frozen=True, kw_only=True)
class Remark:
    """One sentence about a question: its point, what it means, and the act it asks for, if any."""

    tag: str  # good, note, fix
    point: str
    meaning: str
    act: str = ""
    option: str = ""  # the answer it is about


def remarks(figures: BankFigures, code: str) -> tuple[Remark, ...]:
    """Return what the figures say about a question. Under 20 first attempts they say only how many there are."""
    history = figures.histories[code]
    item = history.measured.item
    if item.n < FEWEST:
        return (_too_few(item.n),)
    raised = {flag.code: flag for flag in figures.review.of(code)}
    question = figures.text.question_by_code[code]
    unused = [flag for flag in figures.review.of(code) if flag.code == flags.UNUSED]
    return (
        *_key(raised, question, figures.text, history),
        _share(raised, history),
        _telling(raised, history),
        *(_unused(flag, question, figures.text) for flag in unused),
        *_change(history),
        *_slow(raised, history, figures.usual),
        *_seen(raised, history),
    )


def _too_few(count: int) -> Remark:
    tries = f"{count} first tr{'y' if count == 1 else 'ies'} so far." if count else "No first tries yet."
    return Remark(tag=NOTE, point=tries, meaning=f"From {FEWEST} on, this page says how good the question is.")


def _share(raised: dict[str, Flag], history: QuestionHistory) -> Remark:
    item = history.measured.item
    point = f"{item.right} of {item.n} got it right the first time."
    if flags.TOO_EASY in raised:
        return Remark(tag=NOTE, point=point, meaning="Nearly everyone gets this right: it checks little.")
    if flags.TOO_HARD in raised:
        meaning = "Few students know this. Teach the rule again, and read the question again."
        return Remark(tag=FIX, point=point, meaning=meaning, act=EDIT)
    if flags.WRONG_KEY in raised:
        return Remark(tag=NOTE, point=point, meaning="That is by the key as it is now.")
    if item.right < item.n / 2:
        return Remark(tag=NOTE, point=point, meaning="It is hard for most students.")
    return Remark(tag=GOOD, point=point, meaning="Neither too easy nor too hard.")


def _telling(raised: dict[str, Flag], history: QuestionHistory) -> Remark:
    item = history.measured.item
    students = "Students who got the other questions right got this one right"
    if item.r_rest is None:
        return Remark(
            tag=NOTE,
            point="It cannot show who knows.",
            meaning=f"There is nothing to compare: {item.reasons['r_rest']}.",
        )
    if flags.BACKWARD in raised:
        meaning = f"{students} less often. It may be unclear, or its key may be wrong. Read it again."
        return Remark(tag=FIX, point="It misleads students who know.", meaning=meaning, act=EDIT)
    if item.r_rest >= 0.3:
        return Remark(tag=GOOD, point="It finds students who know.", meaning=f"{students} far more often.")
    if item.r_rest >= 0.1:
        return Remark(tag=GOOD, point="It finds students who know.", meaning=f"{students} more often.")
    often = "a little less often" if item.r_rest < -0.1 else "about as often as the rest"
    return Remark(tag=NOTE, point="It hardly shows who knows.", meaning=f"{students} {often}.")


def _key(raised: dict[str, Flag], question: Question, text: BankText, history: QuestionHistory) -> Iterator[Remark]:
    if flag := raised.get(flags.WRONG_KEY):
        answer = quoted(question, flag.option, text)
        point = f"Strong students pick {answer} more often than the key."
        yield Remark(
            tag=FIX,
            point=point,
            meaning="The key may be wrong. Read the question and its key again.",
            act=CORRECT_KEY,
            option=flag.option,
        )
        return
    key = next(option for option in history.measured.options if option.is_key)
    rival = max((o for o in history.measured.options if not o.is_key), key=lambda o: o.n, default=None)
    if rival and rival.n > key.n and _knows_better(key, rival):
        point = f"More students pick {quoted(question, rival.code, text)} than the key."
        yield Remark(tag=NOTE, point=point, meaning="Students who know pick the key. The question is hard, not wrong.")


def _knows_better(key: OptionFigures, rival: OptionFigures) -> bool:
    return key.r_rest is not None and (rival.r_rest is None or key.r_rest > rival.r_rest)


def _unused(flag: Flag, question: Question, text: BankText) -> Remark:
    return Remark(
        tag=FIX,
        point=f"No one picked {quoted(question, flag.option, text)}.",
        meaning="A wrong answer that no one picks makes guessing easier.",
        act=CHANGE_ANSWER,
        option=flag.option,
    )


def _change(history: QuestionHistory) -> Iterator[Remark]:
    studied = history.studied
    if studied.low is None or studied.high is None or studied.after is None:
        return
    right = round(studied.after * studied.n_after)
    point = f"After studying the rule, {right} of {studied.n_after} got it right."
    if studied.low > 0:
        yield Remark(tag=GOOD, point=point, meaning="More than before: the rule card teaches it.")
    elif studied.high < 0:
        meaning = "Fewer than before. The rule card and the question may disagree. Read both."
        yield Remark(tag=FIX, point=point, meaning=meaning, act=EDIT)
    else:
        yield Remark(tag=NOTE, point=point, meaning="About as many as before.")


def _slow(raised: dict[str, Flag], history: QuestionHistory, usual: Times | None) -> Iterator[Remark]:
    times = history.measured.times
    if flags.SLOW in raised and times and usual:
        point = f"It takes about {_seconds(times.mean)} seconds, a usual question {_seconds(usual.mean)}."
        yield Remark(tag=NOTE, point=point, meaning="It may be long or unclear. Read it again.", act=EDIT)


def _seconds(log_mean: float) -> int:
    return round(math.exp(log_mean))


def _seen(raised: dict[str, Flag], history: QuestionHistory) -> Iterator[Remark]:
    if flags.SEEN in raised:
        measured = history.measured
        point = f"{measured.met_before} of {measured.met} times, the student had met it before."
        yield Remark(tag=NOTE, point=point, meaning="Write another question for its rule.", act=ADD_QUESTION)


# ---- answers in words ------------------------------------------------------------------------------------------------


def answer_text(question: Question, picked: str, text: BankText) -> str:
    """Return an answer that was picked as people read it."""
    if picked == NO_ANSWER:
        return "No answer"
    if picked == UNREADABLE:
        return "A number that can't be read"
    if isinstance(question, Measure):
        return picked
    options = option_texts(question)
    places = [int(place) for place in picked.split(",") if place]
    if not all(place < len(options) for place in places):
        return "An answer of an earlier wording"
    match question:
        case Order():
            return " → ".join(options[place] for place in places)
        case Pair():
            lefts = pair_left_texts(question)
            return "; ".join(f"{left}: {options[place]}" for left, place in zip(lefts, places, strict=False))
    return " + ".join(options[place] for place in places)


def quoted(question: Question, picked: str, text: BankText) -> str:
    return f"“{answer_text(question, picked, text)}”"
