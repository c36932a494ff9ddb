"""The guess risk of one bank's quiz, as figures and as words: for the blueprint page and for the command."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from quizzes.facts import BankText
from quizzes.guessing import chances

KNOWS = Fraction(8, 10)
CAREFUL = Fraction(98, 100)
LIMIT = Fraction(1, 20)
STEPS = (Fraction(0), Fraction(1, 2), Fraction(7, 10), Fraction(8, 10), Fraction(9, 10), Fraction(95, 100))


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One bar of the small chart: someone who knows this share gets a perfect attempt with this chance."""

    knows: int  # percent
    chance: float
    words: str

    @property
    def width(self) -> str:
        """Of 100, for the chart."""
        return f"{self.chance * 100:.2f}"


@dataclass(frozen=True, kw_only=True)
class Risk:
    questions: int
    tries: int
    knows: Fraction
    once: Fraction  # a perfect attempt, knowing that share
    within: Fraction  # at least one, over the tries
    blind: Fraction  # knowing nothing
    needed: int | None  # questions that keep it under the limit over the tries; None where the bank has too few
    slips: Fraction  # a careful student who is right 98 times in 100 fails one attempt
    bars: tuple[Bar, ...]


def risk_of(bank: BankText, knows: Fraction = KNOWS, tries: int | None = None) -> Risk:
    """For the easiest form this blueprint can draw, so that the risk is never understated.

    `tries` are the attempts a student has before the teacher is asked: the misses allowed on a day.
    """
    form = chances.easiest_form(bank)
    tries = bank.blueprint.misses_a_day if tries is None else tries
    return _risk(form, knows, tries, chances.questions_needed_of(bank, knows, tries, LIMIT))


def risk_of_options(options: tuple[int, ...], knows: Fraction, tries: int) -> Risk:
    """For questions with one right answer among so many, without a bank."""
    form = tuple(chances.one_of(count) for count in options)
    return _risk(form, knows, tries, chances.questions_needed(max(form), knows, tries, LIMIT))


def _risk(form: tuple[Fraction, ...], knows: Fraction, tries: int, needed: int | None) -> Risk:
    once = chances.perfect_form(form, knows)
    return Risk(
        questions=len(form),
        tries=tries,
        knows=knows,
        once=once,
        within=chances.within_tries(once, tries),
        blind=chances.perfect_form(form),
        needed=needed,
        slips=chances.slips(CAREFUL, len(form))[0],
        bars=tuple(_bar(form, share) for share in STEPS),
    )


def _bar(form: tuple[Fraction, ...], share: Fraction) -> Bar:
    chance = chances.perfect_form(form, share)
    return Bar(knows=int(share * 100), chance=float(chance), words=chances.in_words(chance))


def as_data(risk: Risk) -> dict[str, Any]:
    """The figures for a program: chances as decimals."""
    return {
        "questions": risk.questions,
        "tries": risk.tries,
        "knows": float(risk.knows),
        "perfect_once": float(risk.once),
        "perfect_within_tries": float(risk.within),
        "perfect_knowing_nothing": float(risk.blind),
        "questions_needed": risk.needed,
        "limit": float(LIMIT),
        "careful_student_misses_once": float(risk.slips),
        "in_words": chances.in_words(risk.once),
        "by_knowledge": [{"knows": bar.knows / 100, "perfect_once": bar.chance} for bar in risk.bars],
    }
