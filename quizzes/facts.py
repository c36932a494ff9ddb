"""What the rules of the quiz work on: a bank as written, a form as drawn, an answer as given. Frozen, no Django."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from types import MappingProxyType
from typing import Any, ClassVar, Literal, NamedTuple

from shopsafe.language.messages import marked, stored

# An answer, given by the places of the options in the bank (never by the ids a student sees):
# one, spot: a place · several: a set of places · order: places in the order given ·
# pair: for each left item the place of the right item · measure: the text as typed · None: not answered.
Answer = int | frozenset[int] | tuple[int, ...] | str | None

# How a note speaks to the teacher who reads a bank: a student who is asked for one number reads none of others.
TO_TEACHERS = (stored(" is also taught."), stored(" are also taught."), stored("Your shop may set its own."))

NOTHING: Mapping[str, Any] = MappingProxyType({})


AT_MOST, AT_LEAST = marked("at most"), marked("at least")  # codes of a bank file, looked up where they are shown
BOUNDS = ("", AT_MOST, AT_LEAST)
SET_BY = ("", "shop", "machine", "tool")


@dataclass(frozen=True, kw_only=True)
class Value:
    """A stored value: the key of a measure question and the number on the wall card.

    One `amount`, or a small `table` of (size, amount) where the number depends on a size. A bound accepts every
    stricter answer. `set_by` names what decides the number; empty where a written rule fixes it.
    """

    code: str
    says: str
    amount: str = ""
    unit: str
    bound: str = ""
    set_by: str = ""
    rule: str = ""  # the rule on whose card it is printed, also where no question asks for it
    size: str = ""  # the heading of a table's sizes, such as: width of the bit
    table: tuple[tuple[str, str], ...] = ()
    source: str = ""
    note: str = ""

    def key(self, row: int = 0) -> str:
        """The amount that a question asks for; `row` counts the rows of a table from 1."""
        return self.table[row - 1][1] if self.table else self.amount

    @property
    def amounts(self) -> tuple[str, ...]:
        return tuple(amount for _, amount in self.table) or (self.amount,)

    @property
    def reads(self) -> str:
        """The number with its unit in one line; a table's rows one after the other."""
        if not self.table:
            return f"{self.amount} {self.unit}"
        return "; ".join(f"{size}: {amount} {self.unit}" for size, amount in self.table)

    @property
    def note_to_learn(self) -> str:
        """The note without what it says to the teacher alone: what else is taught, and that a shop may set its own."""
        sentences = re.split(r"(?<=[.]) ", self.note)
        return " ".join(sentence for sentence in sentences if not sentence.endswith(TO_TEACHERS))


@dataclass(frozen=True, kw_only=True)
class Recall:
    """The cover-and-recall step of a rule's card: a sentence with one blank, and the words that fill it."""

    text: str
    key: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Rule:
    code: str
    says: str
    why: str
    source: str = ""
    must_ask: bool = False
    recall: Recall | None = None
    picture: str = ""
    picture_alt: str = ""
    retired: bool = False


SENTENCE_END = re.compile(r"(?<=[.?!]) ")


def deciding_words(rule: "Rule", question: "Question") -> tuple[str, ...]:
    """The sentences of the rule that decide the question, or its reason; none where the whole rule does."""
    parts = (rule.why, *sentences(rule.says))
    return tuple(parts[number] for number in question.decided_by if number < len(parts))


def sentences(text: str) -> tuple[str, ...]:
    """The sentences of a rule, with their stops."""
    return tuple(SENTENCE_END.split(text.strip()))


QuestionKind = Literal["one", "several", "order", "pair", "spot", "measure"]


@dataclass(frozen=True, kw_only=True)
class QuestionBase:
    kind: ClassVar[QuestionKind]

    code: str
    rule: str
    asks: str
    decided_by: tuple[int, ...] = ()  # the sentences of the rule that decide it, from 1; 0 is its reason
    retired: bool = False


@dataclass(frozen=True, kw_only=True)
class OneAnswer(QuestionBase):
    kind: ClassVar[QuestionKind] = "one"

    right: str
    wrong: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class AllThatApply(QuestionBase):
    kind: ClassVar[QuestionKind] = "several"

    right: tuple[str, ...]
    wrong: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Order(QuestionBase):
    kind: ClassVar[QuestionKind] = "order"

    steps: tuple[str, ...]
    may_swap: tuple[tuple[int, ...], ...] = ()  # 1-based places whose items may change places


@dataclass(frozen=True, kw_only=True)
class Pair(QuestionBase):
    kind: ClassVar[QuestionKind] = "pair"

    pairs: tuple[tuple[str, str], ...]
    extra: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Place:
    says: str
    points: tuple[tuple[float, float], ...]  # a polygon, in the picture's own units


@dataclass(frozen=True, kw_only=True)
class Spot(QuestionBase):
    kind: ClassVar[QuestionKind] = "spot"

    picture: str
    picture_alt: str
    places: tuple[Place, ...]
    right: int  # 1-based


@dataclass(frozen=True, kw_only=True)
class Measure(QuestionBase):
    kind: ClassVar[QuestionKind] = "measure"

    value: str  # the code of a stored value: key and unit come from there
    tolerance: str = "0"
    row: int = 0  # of the value's table, from 1; 0 where the value is one number


# A closed set: a match over it ends with assert_never, so that a new kind of question is missed nowhere.
Question = OneAnswer | AllThatApply | Order | Pair | Spot | Measure
KINDS: dict[str, type[Question]] = {kind.kind: kind for kind in (OneAnswer, AllThatApply, Order, Pair, Spot, Measure)}


def option_texts(question: Question) -> tuple[str, ...]:
    """What a student picks from, by place in the bank: right ones first, then wrong ones. None for a measure."""
    match question:
        case OneAnswer():
            return (question.right, *question.wrong)
        case AllThatApply():
            return (*question.right, *question.wrong)
        case Order():
            return question.steps
        case Pair():
            return (*(right for _, right in question.pairs), *question.extra)
        case Spot():
            return tuple(place.says for place in question.places)
    return ()


def pair_left_texts(question: Question) -> tuple[str, ...]:
    """The left items of a pair question; none for every other kind."""
    return tuple(left for left, _ in question.pairs) if isinstance(question, Pair) else ()


@dataclass(frozen=True, kw_only=True)
class Blueprint:
    """How many questions a quiz asks, and what stands between a miss and the next attempt."""

    ask: int
    wait_minutes: int = 5
    misses_a_day: int = 2


@dataclass(frozen=True, kw_only=True)
class BankText:
    """One bank as written: everything in its file."""

    code: str
    subject: str
    language: str
    about: str
    blueprint: Blueprint
    after: str = ""  # what a student who has passed does next; empty: My machines says it
    values: tuple[Value, ...] = ()
    rules: tuple[Rule, ...] = ()
    questions: tuple[Question, ...] = ()
    extras: Mapping[str, Any] = field(default_factory=lambda: NOTHING)  # tables that other parts read, kept as they are

    @cached_property
    def value_by_code(self) -> dict[str, Value]:
        return {value.code: value for value in self.values}

    @cached_property
    def rule_by_code(self) -> dict[str, Rule]:
        return {rule.code: rule for rule in self.rules}

    @cached_property
    def question_by_code(self) -> dict[str, Question]:
        return {question.code: question for question in self.questions}

    @cached_property
    def values_of_rule(self) -> dict[str, tuple[Value, ...]]:
        """Rule → the stored values that name it or that its questions ask for, in the order of the bank."""
        asked: dict[str, set[str]] = {}
        for value in self.values:
            if value.rule:
                asked.setdefault(value.rule, set()).add(value.code)
        for question in self.live_questions:
            if isinstance(question, Measure):
                asked.setdefault(question.rule, set()).add(question.value)
        return {
            rule: tuple(named_value for named_value in self.values if named_value.code in codes)
            for rule, codes in asked.items()
        }

    def leaves_to_the_shop(self, question: Question) -> bool:
        """True if the question asks for a number that a shop, a machine or a tool decides, not a written rule."""
        return isinstance(question, Measure) and self.value_by_code[question.value].set_by != ""

    @cached_property
    def live_rules(self) -> tuple[Rule, ...]:
        return tuple(rule for rule in self.rules if not rule.retired)

    @cached_property
    def live_questions(self) -> tuple[Question, ...]:
        """Questions that may be asked: neither they nor their rule are retired."""
        live = {rule.code for rule in self.live_rules}
        return tuple(question for question in self.questions if not question.retired and question.rule in live)


@dataclass(frozen=True)
class ShownOption:
    """One option as a student gets it: an id that means nothing, and its place in the bank."""

    id: str
    place: int


@dataclass(frozen=True, kw_only=True)
class FormQuestion:
    """One question on a form, with the order of its options."""

    code: str
    rule: str
    kind: QuestionKind
    options: tuple[ShownOption, ...] = ()
    lefts: tuple[ShownOption, ...] = ()


type ShortfallCode = Literal["untested", "repeats", "stale", "few", "too-few", "too-small"]


@dataclass(frozen=True, kw_only=True)
class Shortfall:
    """What a blueprint or a form asks for and the bank cannot give. `rule` is empty where no one rule is to blame."""

    code: ShortfallCode
    rule: str
    lacks: int
    sentence: str


@dataclass(frozen=True, kw_only=True)
class History:
    """What one student has met of one bank before this form."""

    seen: Mapping[str, int] = field(default_factory=lambda: NOTHING)  # question code → forms it stood on
    missed_rules: tuple[str, ...] = ()
    missed_questions: frozenset[str] = frozenset()
    nearby: Mapping[str, int] = field(default_factory=lambda: NOTHING)  # question code → forms begun in the hour before


@dataclass(frozen=True, kw_only=True)
class QuestionSet:
    """The questions one student gets in one attempt, in order."""

    lines: tuple[FormQuestion, ...]
    shortfalls: tuple[Shortfall, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Graded:
    """A graded form. `missed_rules` in the order of the bank; `missed_questions` never leave the server."""

    asked: int
    correct: int
    missed_rules: tuple[str, ...]
    missed_questions: tuple[str, ...]

    @property
    def perfect(self) -> bool:
        return self.asked > 0 and self.correct == self.asked


@dataclass(frozen=True, kw_only=True)
class BankPicture:
    """A picture as an edition names it: the digest it is kept under, its kind and its size in its own units."""

    digest: str
    kind: Literal["svg", "png", "jpg", "webp"]
    width: int
    height: int


@dataclass(frozen=True, kw_only=True)
class EditionText:
    """A bank as published: its text, and its pictures by the name the text calls them."""

    bank: BankText
    pictures: Mapping[str, BankPicture] = field(default_factory=lambda: NOTHING)


class Pass(NamedTuple):
    """A perfect attempt, for those who ask whom it lets on. It counts while `counts_until` is None or still ahead."""

    student: int
    bank: int
    edition: int  # its number
    at: datetime
    counts_until: datetime | None
    entry: int  # its number in the logbook
    refresher: bool = False  # it renews, and is no pass of the quiz

    def counts(self, at: datetime) -> bool:
        return self.at <= at and (self.counts_until is None or at < self.counts_until)
