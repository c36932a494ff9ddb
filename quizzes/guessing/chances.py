"""How likely luck is: the chance that someone who does not know the rules gets a perfect attempt, and the other side.

Exact arithmetic: chances are Fractions until someone asks for a float. A student who knows a share K of the rules knows
each question with chance K, independently, and guesses evenly among all answers otherwise.
"""

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import partial
from typing import assert_never

from quizzes.facts import AllThatApply, BankText, Measure, OneAnswer, Order, Pair, Question, Spot
from shopsafe.language.messages import _

Chance = Fraction | float

# A number can't be picked from a list. Our own assumption: a guesser tries a sixteenth of an inch, up to one inch.
MEASURE = Fraction(1, 16)
# A stricter answer is right too, so a guess on the safe side is right oftener: half, by our own assumption. A table is
# printed beside its question: a student who can read it is right.
BOUNDED = Fraction(1, 2)
IN_A_TABLE = Fraction(1)
MOST_QUESTIONS = 200


def by_guessing(question: Question) -> Fraction:
    """The chance that an even guess among all answers the page accepts is right."""
    match question:
        case OneAnswer():
            return one_of(1 + len(question.wrong))
        case AllThatApply():
            return several_of(len(question.right) + len(question.wrong))
        case Order():
            return order_of(len(question.steps), question.may_swap)
        case Pair():
            return pair_of(len(question.pairs), len(question.pairs) + len(question.extra))
        case Spot():
            return one_of(len(question.places))
        case Measure():
            return MEASURE
        case _:
            assert_never(question)


def one_of(options: int) -> Fraction:
    return Fraction(1, options)


def several_of(options: int) -> Fraction:
    """All that apply, at least one: the key is one of 2^m − 1 choices."""
    return Fraction(1, 2**options - 1)


def order_of(steps: int, may_swap: Iterable[Sequence[int]] = ()) -> Fraction:
    """m steps are in m! orders; steps that may change places make more of them right."""
    return Fraction(math.prod(math.factorial(len(group)) for group in may_swap), math.factorial(steps))


def pair_of(lefts: int, rights: int) -> Fraction:
    """Each right item used once at most: n!/(n − m)! ways."""
    return Fraction(1, math.perm(rights, lefts))


def knowing(chance: Fraction, knows: Fraction) -> Fraction:
    """The chance of a right answer: known, or not known and guessed."""
    return knows + (1 - knows) * chance


def perfect_form(chances: Iterable[Fraction], knows: Fraction = Fraction(0)) -> Fraction:
    """The chance of a perfect attempt at a form whose questions are guessed right with these chances."""
    return math.prod((knowing(chance, knows) for chance in chances), start=Fraction(1))


def within_tries(perfect: Fraction, tries: int) -> Fraction:
    """The chance of at least one perfect attempt in `tries` fresh forms."""
    return 1 - (1 - perfect) ** tries


def same_form_told(options: Iterable[int], attempt: int) -> Fraction:
    """The chance to be perfect at the given attempt if the same questions came back with right and wrong shown.

    This is what fresh forms and silent misses prevent: with four options it is certain by the fourth attempt.
    """
    return math.prod((min(Fraction(attempt, count), Fraction(1)) for count in options), start=Fraction(1))


def questions_needed(chance: Fraction, knows: Fraction, tries: int, limit: Fraction = Fraction(1, 20)) -> int | None:
    """The fewest questions of this chance that keep luck within `limit` over `tries`. None where no number does."""
    each = knowing(chance, knows)
    for count in range(1, MOST_QUESTIONS + 1):
        if within_tries(each**count, tries) <= limit:
            return count
    return None


def slips(right: Fraction, questions: int, tries: int = 1) -> tuple[Fraction, Fraction]:
    """A student who answers each question right with chance `right`: (fails one attempt, passes within `tries`)."""
    passes = right**questions
    return 1 - passes, within_tries(passes, tries)


# ---- a bank ---------------------------------------------------------------------------------------------------------


def easiest_form(bank: BankText, ask: int | None = None) -> tuple[Fraction, ...]:
    """The chances of the easiest form to guess that this blueprint can draw: the risk is never understated.

    Every must-ask rule is on it, then as many other rules as fit, each by its easiest question.
    """
    room = bank.blueprint.ask if ask is None else ask
    pool: dict[str, list[Question]] = {}
    for question in sorted(bank.live_questions, key=partial(chance_in, bank)):  # the easiest last
        pool.setdefault(question.rule, []).append(question)
    must = {rule.code for rule in bank.live_rules if rule.must_ask}
    form = [_easiest_for_all(bank, questions) for code, questions in pool.items() if code in must]
    others = [questions.pop() for code, questions in pool.items() if code not in must]
    form += _easiest_first(bank, others)[: max(0, room - len(form))]
    rest = _easiest_first(bank, [question for questions in pool.values() for question in questions])
    form += rest[: max(0, room - len(form))]
    return tuple(chance_in(bank, question) for question in form)


def _easiest_for_all(bank: BankText, questions: list[Question]) -> Question:
    """Takes out the easiest question that can stand for a must-ask rule: no shop's number while there is another."""
    fixed = [question for question in questions if not bank.leaves_to_the_shop(question)]
    easiest = (fixed or questions)[-1]
    questions.remove(easiest)
    return easiest


def _easiest_first(bank: BankText, questions: list[Question]) -> list[Question]:
    return sorted(questions, key=partial(chance_in, bank), reverse=True)


def chance_in(bank: BankText, question: Question) -> Fraction:
    """`by_guessing`, where what the bank says of a stored value makes a number easier to guess."""
    if isinstance(question, Measure):
        value = bank.value_by_code[question.value]
        if value.table or value.bound:
            return IN_A_TABLE if value.table else BOUNDED
    return by_guessing(question)


def questions_needed_of(bank: BankText, knows: Fraction, tries: int, limit: Fraction = Fraction(1, 20)) -> int | None:
    """The fewest questions this bank's quiz must ask to keep luck within `limit`. None where the bank has too few."""
    for ask in range(1, len(bank.live_questions) + 1):
        form = easiest_form(bank, ask)
        if len(form) == ask and within_tries(perfect_form(form, knows), tries) <= limit:
            return ask
    return None


def in_words(chance: Chance) -> str:
    """A chance as a teacher says it: "about once in 26"."""
    if chance <= 0:
        return _("never")
    if chance >= 1:
        return _("every time")
    if chance > 0.5:
        return _("about {times} times in 100", times=round(chance * 100))
    return _("about once in {number}", number=_grouped(round(1 / chance)))


def _grouped(number: int) -> str:
    """Large numbers to two digits that count, with commas: 1048576 → 1,000,000."""
    if number >= 1000:
        step = 10 ** (len(str(number)) - 2)
        number = round(number / step) * step
    return f"{number:,}"
