"""Reads a bank as a careful colleague would before it is used: each finding names the question and says what to do.

Errors block publishing; warnings don't. One function a check: it yields findings, and CHECKS lists them all.
"""

import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations
from typing import assert_never

from rapidfuzz import fuzz, process

from quizzes.banks.rules.findings import ERROR, WARNING, Finding
from quizzes.banks.rules.wording_checks import reading_grade, rule_length, translations
from quizzes.facts import (
    KINDS,
    AllThatApply,
    BankText,
    Measure,
    OneAnswer,
    Order,
    Question,
    Spot,
    option_texts,
    pair_left_texts,
)
from quizzes.questions.assembly import lacking
from quizzes.questions.lengths import Quantity, Unreadable, is_within, read_amount, read_quantity
from shopsafe.language.messages import _

ALIKE = 92.0  # of 100, rapidfuzz's token sort ratio
CHANCE = 0.05
ALL_RIGHT = 0.2  # of a bank's questions for all that apply; common practice knows no bound, this one is our own
SWEEPING = re.compile(r"\b(all|none|any|both|each) of (the |these|those|them)|\bboth [a-d] and [a-d]\b", re.IGNORECASE)
VERDICT = re.compile(r"\b(correct|right answer|wrong answer|incorrect|the answer)\b", re.IGNORECASE)
LENGTH = re.compile(
    r"(?:\d+[ -])?\d+/\d+ ?(?:inch(?:es)?|in\b|mm\b|\")|\d+(?:[.,]\d+)? ?(?:inch(?:es)?|in\b|mm\b|cm\b|\")"
)
SMALL_WORDS = frozenset(
    [
        "a",
        "an",
        "and",
        "are",
        "at",
        "behind",
        "below",
        "between",
        "by",
        "for",
        "from",
        "in",
        "into",
        "is",
        "it",
        "its",
        "of",
        "on",
        "or",
        "the",
        "to",
        "under",
        "with",
    ]
)


def check(bank: BankText) -> tuple[Finding, ...]:
    """All findings, errors first, otherwise in the order of CHECKS."""
    findings = [finding for checker in CHECKS for finding in checker(bank)]
    return tuple(sorted(findings, key=lambda finding: finding.level != ERROR))


def blocks(findings: Iterable[Finding]) -> bool:
    return any(finding.level == ERROR for finding in findings)


# ---- enough to ask -------------------------------------------------------------------------------------------------


def enough_questions(bank: BankText) -> Iterator[Finding]:
    if not bank.live_rules:
        yield Finding(ERROR, "enough", "", _("There is no rule yet. Write the first rule."))
    if not bank.live_questions:
        yield Finding(ERROR, "enough", "", _("There is no question yet. Write one for each rule."))
    tested = {question.rule for question in bank.live_questions}
    for rule in bank.live_rules:
        if rule.code not in tested:
            yield Finding(
                ERROR,
                "enough",
                rule.code,
                _("No question tests “{rule}” Write one, or retire the rule.", rule=rule.says),
            )
    for short in lacking(bank):
        match short.code:
            case "few":
                yield Finding(WARNING, "enough", short.rule, short.sentence)
            case "too-few" | "too-small":
                yield Finding(ERROR, "enough", "", short.sentence)
            case "untested":
                pass  # found above
            case "repeats" | "stale":
                pass  # of a form, not of a bank
            case _:
                assert_never(short.code)


def sources_present(bank: BankText) -> Iterator[Finding]:
    for rule in bank.live_rules:
        if not rule.source.strip():
            yield Finding(
                ERROR, "source", rule.code, _("The rule has no source. Name the regulation, or say: common practice.")
            )
        if not rule.why.strip():
            yield Finding(
                ERROR, "why", rule.code, _("The rule has no reason. Say what happens to a hand, an eye or a lung.")
            )
        if rule.recall is None:
            yield Finding(
                ERROR, "recall", rule.code, _("The card has no cover-and-recall step. Write a sentence with one blank.")
            )
    for value in bank.values:
        if not value.source.strip():
            yield Finding(ERROR, "source", value.code, _("The number has no source. Name it, or say: common practice."))


# ---- answers that give themselves away ------------------------------------------------------------------------------


def sweeping_answers(bank: BankText) -> Iterator[Finding]:
    for question in bank.live_questions:
        for text in option_texts(question):
            if SWEEPING.search(text):
                yield Finding(
                    ERROR,
                    "sweeping",
                    question.code,
                    _("Take out “{text}”. Write an answer that stands by itself.", text=text),
                )


def answers_alike(bank: BankText) -> Iterator[Finding]:
    for question in bank.live_questions:
        for texts in (option_texts(question), pair_left_texts(question)):
            for text, other_text in combinations(texts, 2):
                if _bare(text) == _bare(other_text):
                    yield Finding(
                        ERROR, "alike", question.code, _("“{text}” appears twice. Change one of them.", text=text)
                    )
                elif not isinstance(question, Order) and fuzz.ratio(_bare(text), _bare(other_text)) >= 97:
                    sentence = _(
                        "“{text}” and “{other_text}” are nearly alike. Make the difference plain.",
                        text=text,
                        other_text=other_text,
                    )
                    yield Finding(WARNING, "alike", question.code, sentence)


def _bare(text: str) -> str:
    return " ".join(re.findall(r"[\w/.]+", text.casefold())).rstrip(".")


def every_answer_right(bank: BankText) -> Iterator[Finding]:
    """Now and then every answer of a question may be right: "not all of them" is then no rule to guess by. In many
    questions it is such a rule itself."""
    several = [question for question in bank.live_questions if isinstance(question, AllThatApply)]
    whole = [question.code for question in several if not question.wrong]
    if len(whole) > max(1, ALL_RIGHT * len(several)):
        sentence = _(
            "Every answer is right in {number} of {questions} questions, so checking all of them often pays. "
            "Add a wrong answer to some of: {codes}.",
            number=len(whole),
            questions=len(several),
            codes=", ".join(whole),
        )
        yield Finding(WARNING, "all-right", "", sentence)


def too_few_answers(bank: BankText) -> Iterator[Finding]:
    for question in bank.live_questions:
        if isinstance(question, OneAnswer) and len(question.wrong) < 2:
            yield Finding(WARNING, "two-answers", question.code, _("There are only two answers. Add one or two more."))
        if isinstance(question, AllThatApply) and len(option_texts(question)) < 3:
            yield Finding(
                WARNING, "two-answers", question.code, _("There are fewer than three answers. Add one or two.")
            )


def key_is_longest(bank: BankText) -> Iterator[Finding]:
    """The right answer is the longest more often than chance: the exact chance of so many, exactly."""
    ones = [question for question in bank.live_questions if isinstance(question, OneAnswer)]
    longest = [question for question in ones if len(question.right) > max(map(len, question.wrong))]
    chance = at_least(len(longest), [1 / (1 + len(question.wrong)) for question in ones])
    if longest and chance < CHANCE:
        sentence = _(
            "The right answer is the longest in {number} of {questions} questions; chance gives about {expected}. "
            "Shorten it, or lengthen a wrong one, in some of: {codes}.",
            number=len(longest),
            questions=len(ones),
            expected=f"{sum(1 / (1 + len(question.wrong)) for question in ones):.0f}",
            codes=", ".join(question.code for question in longest),
        )
        yield Finding(WARNING, "longest", "", sentence)


def at_least(hits: int, chances: Sequence[float]) -> float:
    """The exact chance of `hits` or more when each trial has its own chance (binomial where all are alike)."""
    ways = [1.0]
    for chance in chances:
        ways = [
            (ways[n] if n < len(ways) else 0.0) * (1 - chance) + (ways[n - 1] * chance if n else 0.0)
            for n in range(len(ways) + 1)
        ]
    return math.fsum(ways[hits:])


def near_duplicates(bank: BankText) -> Iterator[Finding]:
    for kind in KINDS:
        questions = [question for question in bank.live_questions if question.kind == kind]
        texts = [_bare(_whole(question)) for question in questions]
        alike = process.cdist(texts, texts, scorer=fuzz.token_sort_ratio, score_cutoff=ALIKE)
        for number, question in enumerate(questions):
            for other in range(number):
                if alike[number][other] >= ALIKE:
                    sentence = _(
                        "It is nearly the same as {question}. Ask about something else.", question=questions[other].code
                    )
                    yield Finding(WARNING, "twin", question.code, sentence)


def _whole(question: Question) -> str:
    return " ".join((question.asks, *sorted((*option_texts(question), *pair_left_texts(question)))))


# ---- pictures --------------------------------------------------------------------------------------------------------


def picture_words(bank: BankText) -> Iterator[Finding]:
    for rule in bank.live_rules:
        if rule.picture and not rule.picture_alt.strip():
            yield Finding(ERROR, "alt", rule.code, _("The picture has no words. Say what it shows, place and shape."))
    for question in bank.live_questions:
        if isinstance(question, Spot):
            yield from _spot_words(question)


def _spot_words(question: Spot) -> Iterator[Finding]:
    alt = question.picture_alt
    if not alt.strip():
        yield Finding(ERROR, "alt", question.code, _("The picture has no words. Say what it shows, place and shape."))
    if VERDICT.search(alt):
        yield Finding(
            ERROR, "alt", question.code, _("The picture's words tell which place is right. Say place and shape only.")
        )
    right = question.places[question.right - 1]
    others = [place for place in question.places if place is not right]
    shared_words = _words(right.says) & _words(alt)
    if shared_words and not any(_words(place.says) & _words(alt) for place in others):
        words = ", ".join(sorted(shared_words))
        sentence = _(
            "The picture's words name the right place only ({words}). Name the others too, or none.", words=words
        )
        yield Finding(ERROR, "alt", question.code, sentence)


def _words(text: str) -> set[str]:
    return {word.casefold() for word in re.findall(r"\w{3,}", text)} - SMALL_WORDS


# ---- measures --------------------------------------------------------------------------------------------------------


def measures_match(bank: BankText) -> Iterator[Finding]:
    """The key of a measure question is the stored value; a rule or a question that says another number is a trap."""
    for question in bank.live_questions:
        if not isinstance(question, Measure):
            continue
        value = bank.value_by_code[question.value]
        key = Quantity(read_amount(value.key(question.row)), value.unit)
        rule = bank.rule_by_code[question.rule]
        lengths = list(_lengths(rule.says))
        if (
            lengths
            and key.dimension == "length"
            and not any(is_within(quantity, key, read_amount("0")) for _text, quantity in lengths)
        ):
            number = f"{value.key(question.row)} {value.unit}"
            sentence = _(
                "Its rule says {length}, the number to know is {number}. Make them agree.",
                length=lengths[0][0],
                number=number,
            )
            yield Finding(ERROR, "value", question.code, sentence)
        if any(is_within(quantity, key, read_amount("0")) for _text, quantity in _lengths(question.asks)):
            yield Finding(ERROR, "value", question.code, _("The question says its own answer. Take the number out."))


def shop_numbers(bank: BankText) -> Iterator[Finding]:
    """A quiz may not hang every time on a number that a shop, a machine or a tool decides."""
    for rule in bank.live_rules:
        questions = [question for question in bank.live_questions if question.rule == rule.code]
        if rule.must_ask and questions and all(map(bank.leaves_to_the_shop, questions)):
            sentence = _(
                "Every quiz asks this rule, and each of its questions asks for a number that a shop decides. "
                "Write a question without that number."
            )
            yield Finding(ERROR, "shop-number", rule.code, sentence)


def _lengths(text: str) -> Iterator[tuple[str, Quantity]]:
    for length_text in LENGTH.findall(text):
        try:
            yield length_text, read_quantity(length_text, "in")
        except Unreadable:
            continue


CHECKS: tuple[Callable[[BankText], Iterator[Finding]], ...] = (
    enough_questions,
    sources_present,
    sweeping_answers,
    answers_alike,
    every_answer_right,
    too_few_answers,
    key_is_longest,
    near_duplicates,
    picture_words,
    measures_match,
    shop_numbers,
    reading_grade,
    rule_length,
    translations,
)
