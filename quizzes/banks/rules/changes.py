"""What is different between two texts of a bank: the last edition and the draft, or a draft and a file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from quizzes.facts import BankText, Question, Rule, Value
from shopsafe.language.messages import _, marked

ADDED, CHANGED, RETIRED, BACK, GONE = "added", "changed", "retired", "restored", "left out"

# What a reader is shown for the codes of a difference.
WORDS = {
    ADDED: marked("added"),
    CHANGED: marked("changed"),
    RETIRED: marked("retired"),
    BACK: marked("restored"),
    GONE: marked("left out"),
    "bank": marked("bank"),
    "blueprint": marked("blueprint"),
    "rule": marked("rule"),
    "question": marked("question"),
    "number to know": marked("number to know"),
    "picture": marked("picture"),
    "machine": marked("machine"),
}


@dataclass(frozen=True)
class Difference:
    """One rule, question or value that is not as it was; or the quiz or the bank's head (`code` is empty then)."""

    how: str
    what: str
    code: str
    says: str
    was: str = ""  # what it said before, where those words changed

    @property
    def how_words(self) -> str:
        return _(WORDS[self.how])

    @property
    def what_words(self) -> str:
        return _(WORDS[self.what])


def differences(before: BankText, after: BankText) -> tuple[Difference, ...]:
    """From the head of the bank down to its questions, in the order of `after`; what `after` lacks comes last."""
    return tuple(_changes(before, after))


def _changes(before: BankText, after: BankText) -> Iterator[Difference]:
    for name, description in HEAD.items():
        if getattr(before, name) != getattr(after, name):
            yield Difference(CHANGED, "bank", "", _(description))
    for name, description in QUIZ.items():
        was, now = getattr(before.blueprint, name), getattr(after.blueprint, name)
        if was != now:
            yield Difference(
                CHANGED,
                "blueprint",
                "",
                _("{description}: {was} before, {now} now", description=_(description), was=was, now=now),
            )
    yield from _each("number to know", before.value_by_code, after.value_by_code)
    yield from _each("rule", before.rule_by_code, after.rule_by_code)
    yield from _each("question", before.question_by_code, after.question_by_code)


HEAD = {
    "subject": marked("The name of the subject"),
    "about": marked("What it is about"),
    "after": marked("What a student does next"),
}
QUIZ = {
    "ask": marked("Questions asked"),
    "wait_minutes": marked("Minutes of waiting"),
    "misses_a_day": marked("Misses allowed on a day"),
}


def _each(what: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Difference]:
    for code, item in after.items():
        was = before.get(code)
        if how := _how(was, item):
            old = says(was) if how == CHANGED and was is not None else ""
            yield Difference(how, what, code, says(item), old if old != says(item) else "")
    for code, item in before.items():
        if code not in after:
            yield Difference(GONE, what, code, says(item))


def _how(was: Any, now: Any) -> str:
    if was is None:
        return ADDED
    if was == now:
        return ""
    if not isinstance(now, Value) and was.retired != now.retired:
        return RETIRED if now.retired else BACK
    return CHANGED


def says(item: Rule | Question | Value) -> str:
    """The words by which a teacher knows it."""
    return item.asks if isinstance(item, Question) else item.says
