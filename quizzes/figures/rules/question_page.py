"""What a page says about the figures of questions: plain words first, then what students picked, then the numbers."""

from dataclasses import dataclass
from fractions import Fraction

from quizzes.facts import BankText, Question, Rule
from quizzes.figures.rules.analysis.flags import FEWEST
from quizzes.figures.rules.analysis.intervals import correlation
from quizzes.figures.rules.bank_analysis import BankFigures, QuestionHistory
from quizzes.figures.rules.bars import Bar, bar
from quizzes.figures.rules.plain_words import Remark, RemarkTag, answer_text, remarks
from quizzes.figures.rules.reteaching import SHOWN
from quizzes.guessing.chances import by_guessing
from shopsafe.language.messages import _

MOST_ANSWERS = 8  # rows of what students picked; the rest is summed up in one


@dataclass(frozen=True, kw_only=True)
class PickRow:
    """One answer, and how many picked it."""

    text: str
    is_key: bool
    n: int
    bar: Bar | None


@dataclass(frozen=True, kw_only=True)
class Number:
    """One figure for a reader who wants the number itself."""

    name: str
    value: str
    more: str = ""


@dataclass(frozen=True, kw_only=True)
class QuestionPage:
    question: Question
    rule: Rule
    n: int  # first attempts
    remarks: tuple[Remark, ...]
    picks: tuple[PickRow, ...]
    others: int  # who gave another answer than those listed
    numbers: tuple[Number, ...]


def question_page(figures: BankFigures, code: str) -> QuestionPage:
    """Return the page of one question. Fewer than five students are never shown by what they picked."""
    history, question = figures.histories[code], figures.text.question_by_code[code]
    item = history.measured.item
    picks = _picks(figures.text, question, history) if item.n >= SHOWN else ()
    return QuestionPage(
        question=question,
        rule=figures.text.rule_by_code[question.rule],
        n=item.n,
        remarks=remarks(figures, code),
        picks=picks[:MOST_ANSWERS],
        others=sum(row.n for row in picks[MOST_ANSWERS:]),
        numbers=_numbers(question, history) if item.n >= SHOWN else (),
    )


def _picks(text: BankText, question: Question, history: QuestionHistory) -> tuple[PickRow, ...]:
    """Return the key first, then the answers picked most."""
    options = sorted(history.measured.options, key=lambda option: (not option.is_key, -option.n))
    return tuple(
        PickRow(
            text=answer_text(question, option.code, text),
            is_key=option.is_key,
            n=option.n,
            bar=bar(option.share, option.share_low, option.share_high, enough=history.measured.item.n >= FEWEST),
        )
        for option in options
    )


def _numbers(question: Question, history: QuestionHistory) -> tuple[Number, ...]:
    item, times = history.measured.item, history.measured.times
    numbers = [
        Number(name=_("Share right (0 to 1)"), value=_two(item.p), more=_range(item.p_low, item.p_high)),
        _correlation(_("Shows who knows (−1 to 1)"), item.r_rest, item.n, item.reasons.get("r_rest", "")),
        _correlation(_("The same, this question in the score"), item.r_pb, item.n, item.reasons.get("r_pb", "")),
        Number(
            name=_("Upper 27 % less lower 27 % (−1 to 1)"), value=_two(item.d27), more=_(item.reasons.get("d27", ""))
        ),
        Number(name=_("Right by guessing"), value=_two(float(by_guessing(question)))),
        *_unused(question, history),
    ]
    if times:
        numbers.append(Number(name=_("Timed answers"), value=str(times.n), more=_("paper and long pauses left out")))
    if history.later.gain is not None:
        name = _("Later tries less first tries (−1 to 1)")
        numbers.append(
            Number(name=name, value=_two(history.later.gain), more=_range(history.later.low, history.later.high))
        )
    return tuple(numbers)


def _unused(question: Question, history: QuestionHistory) -> list[Number]:
    """Return the chance of guessing among the answers that someone picked, where some were never picked."""
    used = [option for option in history.measured.options if option.n or option.is_key]
    if not history.measured.picks_one or len(used) == len(history.measured.options):
        return []
    return [Number(name=_("Right by guessing, unused answers left out"), value=_two(float(Fraction(1, len(used)))))]


def _correlation(name: str, r: float | None, n: int, reason: str) -> Number:
    interval = correlation(r, n) if r is not None else None
    return Number(name=name, value=_two(r), more=_range(*interval) if interval else _(reason))


def _two(value: float | None) -> str:
    return _("none") if value is None else f"{value:.2f}".replace("-", "−")


def _range(low: float | None, high: float | None) -> str:
    return "" if low is None or high is None else _("{low} to {high}", low=_two(low), high=_two(high))


# ---- all questions of a bank --------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class QualityRow:
    question: Question
    n: int
    right: int
    bar: Bar | None
    remark: Remark | None  # the gravest one that asks for something


@dataclass(frozen=True, kw_only=True)
class QualityPage:
    """The questions of a bank: those to look at first."""

    to_fix: tuple[QualityRow, ...]
    sound: tuple[QualityRow, ...]
    too_few: tuple[QualityRow, ...]
    first_attempts: int
    flags: int
    by_chance: float

    @property
    def by_chance_words(self) -> str:
        """Return how many of the flags shown are chance, at most, in words."""
        if self.by_chance < 0.5:
            return _("Most likely none of them is there by chance.")
        count = round(self.by_chance)
        return _("Up to {number} of them may be there by chance.", number=count)


def quality_page(figures: BankFigures) -> QualityPage:
    rows = [_quality_row(figures, code) for code in figures.histories]
    judged = set(figures.review.judged)
    to_fix = [row for row in rows if row.remark]
    return QualityPage(
        to_fix=tuple(sorted(to_fix, key=lambda row: _place(figures, row.question.code))),
        sound=tuple(sorted((row for row in rows if row.question.code in judged and not row.remark), key=_share)),
        too_few=tuple(row for row in rows if row.question.code not in judged),
        first_attempts=figures.first_attempts,
        flags=len(figures.review.flags),
        by_chance=figures.review.by_chance,
    )


def _share(row: QualityRow) -> float:
    return row.right / row.n


def _place(figures: BankFigures, code: str) -> int:
    """Return the place of a question's gravest flag among all flags; those without a flag stand last."""
    order = [flag.question for flag in figures.review.flags]
    return order.index(code) if code in order else len(order)


def _quality_row(figures: BankFigures, code: str) -> QualityRow:
    item = figures.histories[code].measured.item
    flagged = bool(figures.review.of(code))
    question_remarks = remarks(figures, code) if flagged else ()
    remark = next((r for r in question_remarks if r.tag is RemarkTag.FIX), None) or next(
        (r for r in question_remarks if r.tag is not RemarkTag.GOOD), None
    )
    return QualityRow(
        question=figures.text.question_by_code[code],
        n=item.n,
        right=item.right,
        bar=bar(item.p, item.p_low, item.p_high, enough=item.n >= FEWEST) if item.n >= SHOWN else None,
        remark=remark,
    )
