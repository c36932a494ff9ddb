"""What is different between two texts of a bank: the last edition and the draft, or a draft and a file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from quizzes.facts import BankText, Question, Rule, Value
from shopsafe.language.messages import _, marked


class HowChanged(StrEnum):
    ADDED = marked("added")
    CHANGED = marked("changed")
    RETIRED = marked("retired")
    RESTORED = marked("restored")
    GONE = marked("left out")


class ChangedItem(StrEnum):
    BANK = "bank"
    BLUEPRINT = "blueprint"
    RULE = "rule"
    QUESTION = "question"
    VALUE = "number to know"
    PICTURE = "picture"
    MACHINE = "machine"  # its lists

    @property
    def words(self) -> str:
        return _(ITEM_WORDS[self])


ITEM_WORDS = {
    ChangedItem.BANK: marked("question bank"),
    ChangedItem.BLUEPRINT: marked("quiz settings"),
    ChangedItem.RULE: marked("rule"),
    ChangedItem.QUESTION: marked("question"),
    ChangedItem.VALUE: marked("number to know"),
    ChangedItem.PICTURE: marked("picture"),
    ChangedItem.MACHINE: marked("machine"),
}


@dataclass(frozen=True)
class Difference:
    """One rule, question or value that is not as it was; or the quiz or the bank's head (`code` is empty then)."""

    how: HowChanged
    what: ChangedItem
    code: str
    says: str
    was: str = ""  # what it said before, where those words changed

    @property
    def how_words(self) -> str:
        return _(self.how)

    @property
    def what_words(self) -> str:
        return self.what.words


def differences(before: BankText, after: BankText) -> tuple[Difference, ...]:
    """From the head of the bank down to its questions, in the order of `after`; what `after` lacks comes last."""
    return tuple(_changes(before, after))


def _changes(before: BankText, after: BankText) -> Iterator[Difference]:
    for name, description in HEAD.items():
        if getattr(before, name) != getattr(after, name):
            yield Difference(HowChanged.CHANGED, ChangedItem.BANK, "", _(description))
    for name, description in QUIZ.items():
        was, now = getattr(before.blueprint, name), getattr(after.blueprint, name)
        if was != now:
            yield Difference(
                HowChanged.CHANGED,
                ChangedItem.BLUEPRINT,
                "",
                _("{description}: {was} before, {now} now", description=_(description), was=was, now=now),
            )
    yield from _each(ChangedItem.VALUE, before.value_by_code, after.value_by_code)
    yield from _each(ChangedItem.RULE, before.rule_by_code, after.rule_by_code)
    yield from _each(ChangedItem.QUESTION, before.question_by_code, after.question_by_code)


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


def _each(what: ChangedItem, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Difference]:
    for code, item in after.items():
        was = before.get(code)
        if how := _how(was, item):
            old = says(was) if how is HowChanged.CHANGED and was is not None else ""
            yield Difference(how, what, code, says(item), old if old != says(item) else "")
    for code, item in before.items():
        if code not in after:
            yield Difference(HowChanged.GONE, what, code, says(item))


def _how(was: Any, now: Any) -> HowChanged | None:
    if was is None:
        return HowChanged.ADDED
    if was == now:
        return None
    if not isinstance(now, Value) and was.retired != now.retired:
        return HowChanged.RETIRED if now.retired else HowChanged.RESTORED
    return HowChanged.CHANGED


def says(item: Rule | Question | Value) -> str:
    """The words by which a teacher knows it."""
    return item.asks if isinstance(item, Question) else item.says
