"""What the figures of a question say, in a teacher's words: first whether it is good, then what to do about it."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from quizzes.facts import BankText, Measure, Order, Pair, Question, option_texts, pair_left_texts
from quizzes.figures.rules.analysis import flags
from quizzes.figures.rules.analysis.facts import OptionFigures
from quizzes.figures.rules.analysis.flags import FEWEST, Flag, Times
from quizzes.figures.rules.bank_analysis import BankFigures, QuestionHistory
from quizzes.figures.rules.contributions import NO_ANSWER, UNREADABLE
from shopsafe.language.lists import in_turn
from shopsafe.language.messages import _, counted, marked


class RemarkTag(StrEnum):
    GOOD = marked("good")
    NOTE = marked("note")
    FIX = marked("fix")


CHANGE_ANSWER, CORRECT_KEY, EDIT, ADD_QUESTION = "change-answer", "correct-key", "edit", "add-question"


@dataclass(frozen=True, kw_only=True)
class Remark:
    """One sentence about a question: its point, what it means, and the act it asks for, if any."""

    tag: RemarkTag
    point: str
    meaning: str
    act: str = ""
    option: str = ""  # the answer it is about

    @property
    def tag_words(self) -> str:
        return _(self.tag)


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
    tries = _("No first tries yet.")
    if count:
        tries = counted("{count} first try so far.", "{count} first tries so far.", count=count)
    return Remark(
        tag=RemarkTag.NOTE,
        point=tries,
        meaning=_("From {number} on, this page says how good the question is.", number=FEWEST),
    )


def _share(raised: dict[str, Flag], history: QuestionHistory) -> Remark:
    item = history.measured.item
    point = _("{number} of {tries} got it right the first time.", number=item.right, tries=item.n)
    if flags.TOO_EASY in raised:
        return Remark(tag=RemarkTag.NOTE, point=point, meaning=_("Nearly everyone gets this right: it checks little."))
    if flags.TOO_HARD in raised:
        meaning = _("Few students know this. Teach the rule again, and read the question again.")
        return Remark(tag=RemarkTag.FIX, point=point, meaning=meaning, act=EDIT)
    if flags.WRONG_KEY in raised:
        return Remark(tag=RemarkTag.NOTE, point=point, meaning=_("That is by the key as it is now."))
    if item.right < item.n / 2:
        return Remark(tag=RemarkTag.NOTE, point=point, meaning=_("It is hard for most students."))
    return Remark(tag=RemarkTag.GOOD, point=point, meaning=_("Neither too easy nor too hard."))


def _telling(raised: dict[str, Flag], history: QuestionHistory) -> Remark:
    item = history.measured.item
    if item.r_rest is None:
        return Remark(
            tag=RemarkTag.NOTE,
            point=_("It cannot show who knows."),
            meaning=_("There is nothing to compare: {reason}.", reason=_(item.reasons["r_rest"])),
        )
    if flags.BACKWARD in raised:
        meaning = _(
            "Students who got the other questions right got this one right less often. It may be unclear, or its key "
            "may be wrong. Read it again."
        )
        return Remark(tag=RemarkTag.FIX, point=_("It misleads students who know."), meaning=meaning, act=EDIT)
    if item.r_rest >= 0.3:
        meaning = _("Students who got the other questions right got this one right far more often.")
        return Remark(tag=RemarkTag.GOOD, point=_("It finds students who know."), meaning=meaning)
    if item.r_rest >= 0.1:
        meaning = _("Students who got the other questions right got this one right more often.")
        return Remark(tag=RemarkTag.GOOD, point=_("It finds students who know."), meaning=meaning)
    if item.r_rest < -0.1:
        meaning = _("Students who got the other questions right got this one right a little less often.")
    else:
        meaning = _("Students who got the other questions right got this one right about as often as the rest.")
    return Remark(tag=RemarkTag.NOTE, point=_("It hardly shows who knows."), meaning=meaning)


def _key(raised: dict[str, Flag], question: Question, text: BankText, history: QuestionHistory) -> Iterator[Remark]:
    if flag := raised.get(flags.WRONG_KEY):
        answer = quoted(question, flag.option, text)
        point = _("Strong students pick {answer} more often than the key.", answer=answer)
        yield Remark(
            tag=RemarkTag.FIX,
            point=point,
            meaning=_("The key may be wrong. Read the question and its key again."),
            act=CORRECT_KEY,
            option=flag.option,
        )
        return
    key = next(option for option in history.measured.options if option.is_key)
    rival = max((o for o in history.measured.options if not o.is_key), key=lambda o: o.n, default=None)
    if rival and rival.n > key.n and _knows_better(key, rival):
        point = _("More students pick {answer} than the key.", answer=quoted(question, rival.code, text))
        yield Remark(
            tag=RemarkTag.NOTE,
            point=point,
            meaning=_("Students who know pick the key. The question is hard, not wrong."),
        )


def _knows_better(key: OptionFigures, rival: OptionFigures) -> bool:
    return key.r_rest is not None and (rival.r_rest is None or key.r_rest > rival.r_rest)


def _unused(flag: Flag, question: Question, text: BankText) -> Remark:
    return Remark(
        tag=RemarkTag.FIX,
        point=_("No one picked {answer}.", answer=quoted(question, flag.option, text)),
        meaning=_("A wrong answer that no one picks makes guessing easier."),
        act=CHANGE_ANSWER,
        option=flag.option,
    )


def _change(history: QuestionHistory) -> Iterator[Remark]:
    studied = history.studied
    if studied.low is None or studied.high is None or studied.after is None:
        return
    right = round(studied.after * studied.n_after)
    point = _("After studying the rule, {number} of {tries} got it right.", number=right, tries=studied.n_after)
    if studied.low > 0:
        yield Remark(tag=RemarkTag.GOOD, point=point, meaning=_("More than before: the rule card teaches it."))
    elif studied.high < 0:
        meaning = _("Fewer than before. The rule card and the question may disagree. Read both.")
        yield Remark(tag=RemarkTag.FIX, point=point, meaning=meaning, act=EDIT)
    else:
        yield Remark(tag=RemarkTag.NOTE, point=point, meaning=_("About as many as before."))


def _slow(raised: dict[str, Flag], history: QuestionHistory, usual: Times | None) -> Iterator[Remark]:
    times = history.measured.times
    if flags.SLOW in raised and times and usual:
        point = _(
            "It takes about {seconds} seconds, a usual question {usual}.",
            seconds=_seconds(times.mean),
            usual=_seconds(usual.mean),
        )
        yield Remark(tag=RemarkTag.NOTE, point=point, meaning=_("It may be long or unclear. Read it again."), act=EDIT)


def _seconds(log_mean: float) -> int:
    return round(math.exp(log_mean))


def _seen(raised: dict[str, Flag], history: QuestionHistory) -> Iterator[Remark]:
    if flags.SEEN in raised:
        measured = history.measured
        point = _(
            "{number} of {times} times, the student had met it before.", number=measured.met_before, times=measured.met
        )
        yield Remark(
            tag=RemarkTag.NOTE, point=point, meaning=_("Write another question for its rule."), act=ADD_QUESTION
        )


# ---- answers in words ------------------------------------------------------------------------------------------------


def answer_text(question: Question, picked: str, text: BankText) -> str:
    """Return an answer that was picked as people read it."""
    if picked == NO_ANSWER:
        return _("No answer")
    if picked == UNREADABLE:
        return _("A number that can't be read")
    if isinstance(question, Measure):
        return picked
    options = option_texts(question)
    places = [int(place) for place in picked.split(",") if place]
    if not all(place < len(options) for place in places):
        return _("An answer of an earlier wording")
    match question:
        case Order():
            return in_turn(options[place] for place in places)
        case Pair():
            lefts = pair_left_texts(question)
            return "; ".join(f"{left}: {options[place]}" for left, place in zip(lefts, places, strict=False))
    return " + ".join(options[place] for place in places)


def quoted(question: Question, picked: str, text: BankText) -> str:
    return f"“{answer_text(question, picked, text)}”"
