"""A question with another key, and what that changes for an attempt. No one loses a pass by it."""

from dataclasses import dataclass, replace

from quizzes.facts import AllThatApply, BankText, OneAnswer, Question, Spot, option_texts
from shopsafe.language.messages import _

GAINS, STILL_MISSED, OLD_KEY, NOT_CONCERNED = "gains", "still missed", "old key", "not concerned"


class CannotCorrect(ValueError):
    """The key can't be corrected here. The sentence says why and what to do."""


def may_correct(question: Question) -> bool:
    """Return True if the right answer is one of the options, so that another of them can be the key."""
    return isinstance(question, OneAnswer | AllThatApply | Spot)


def with_key(question: Question, picked: str) -> Question:
    """Return the question with the answer `picked` (places in the bank, as figures tell it) as its key."""
    options = option_texts(question)
    places = _places(picked, len(options))
    match question:
        case OneAnswer() if len(places) == 1:
            rest = tuple(text for place, text in enumerate(options) if place != places[0])
            changed: Question = replace(question, right=options[places[0]], wrong=rest)
        case Spot() if len(places) == 1:
            changed = replace(question, right=places[0] + 1)
        case AllThatApply() if places:
            right = tuple(options[place] for place in places)
            changed = replace(question, right=right, wrong=tuple(text for text in options if text not in right))
        case _:
            raise CannotCorrect(_("Choose one of the answers of this question as its key."))
    if changed == question:
        raise CannotCorrect(_("That answer is the key already."))
    return changed


def _places(picked: str, count: int) -> list[int]:
    places = [int(part) for part in picked.split(",") if part.isdecimal()]
    known = len(set(places)) == len(places) == len(picked.split(",")) and all(place < count for place in places)
    return places if known else []


def corrected(bank: BankText, code: str, picked: str) -> BankText:
    """Return the bank with the key of one question corrected."""
    changed = with_key(bank.question_by_code[code], picked)
    return replace(bank, questions=tuple(changed if q.code == code else q for q in bank.questions))


@dataclass(frozen=True, kw_only=True)
class GradedAnswers:
    """What a regrade asks of one attempt that was handed in and not voided."""

    picked: str  # for the question whose key is corrected
    wrong: frozenset[str]  # questions
    passed_later: bool  # the student has a perfect attempt from this moment or after it


def effect(attempt: GradedAnswers, question: str, key_before: str, key_after: str) -> str:
    """Return what the corrected key means for an attempt.

    GAINS: its one wrong answer was right, so it is perfect. STILL_MISSED: that answer was right, others were not, or
    the student has passed since. OLD_KEY: the answer was right by the wrong key alone; a pass stays, and the student
    should hear what is right. NOT_CONCERNED: neither.
    """
    if question in attempt.wrong and attempt.picked == key_after:
        alone = attempt.wrong == {question}
        return GAINS if alone and not attempt.passed_later else STILL_MISSED
    if question not in attempt.wrong and attempt.picked == key_before:
        return OLD_KEY
    return NOT_CONCERNED
