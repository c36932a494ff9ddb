"""A bank as plain data, in and out: the shape that files, stored drafts and editions share. Finds every problem."""

import difflib
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from quizzes.facts import (
    KINDS,
    BankText,
    Blueprint,
    Measure,
    One,
    Order,
    Pair,
    Place,
    Question,
    Recall,
    Rule,
    Several,
    Spot,
    Value,
    option_texts,
)
from quizzes.lengths import Unreadable, read_amount

TABLES = ("bank", "quiz", "value", "rule", "question")
CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
PICTURE = re.compile(r"[a-z0-9]+([-.][a-z0-9]+)*\.(svg|png|jpg|webp)\Z")
BLANK = re.compile(r"_{3,}")
MOST = {"value": 200, "rule": 200, "question": 2000}
MOST_OPTIONS = 12
LONGEST = 600  # characters in one text

REQUIRED = object()
Lines = Mapping[tuple[str, int], int]


@dataclass(frozen=True)
class Problem:
    """One thing that can't be read: where (a line, 0 if unknown, and a name) and what to do."""

    line: int
    where: str
    sentence: str

    def __str__(self) -> str:
        line = f"line {self.line}, " if self.line else ""
        return f"{line}{self.where}: {self.sentence}"


class BankFileError(ValueError):
    """The data is no bank. Nothing was read; `problems` names each fault."""

    def __init__(self, problems: tuple[Problem, ...]):
        super().__init__("; ".join(map(str, problems)))
        self.problems = problems


def from_data(data: Mapping[str, Any], lines: Lines | None = None) -> BankText:
    """A bank from plain data. `lines` tells on which line each table stands. Raises BankFileError with all problems."""
    read = Reader(data, lines or {})
    bank = BankText(
        **read.table("bank", HEAD),
        blueprint=Blueprint(**read.table("quiz", QUIZ)),
        values=tuple(read.rows("value", _value)),
        rules=tuple(read.rows("rule", _rule)),
        questions=tuple(read.rows("question", _question)),
        extras={key: item for key, item in data.items() if key not in TABLES},
    )
    _check_extras(bank.extras, read)
    _cross_check(bank, read)
    if read.problems:
        raise BankFileError(tuple(sorted(read.problems, key=lambda problem: problem.line)))
    return bank


class Row:
    """One table taken apart: typed fields, every problem kept, so that an author mends a file in one go."""

    def __init__(self, row: Mapping[str, Any], line: int, where: str, problems: list[Problem]):
        self.row, self.line, self.where, self.problems = row, line, where, problems

    def wrong(self, sentence: str) -> None:
        self.problems.append(Problem(self.line, self.where, sentence))

    def take(self, wants: Mapping[str, "Want"]) -> dict[str, Any]:
        for key in self.row:
            if key not in wants:
                near = difflib.get_close_matches(key, wants, 1)
                self.wrong(f"“{key}” is not known here. " + (f"Did you mean {near[0]}?" if near else "Leave it out."))
        return {key: want(self, key) for key, want in wants.items()}

    def get(self, key: str, kind: type, spare: Any) -> Any:
        if key not in self.row:
            if spare is not REQUIRED:
                return spare
            self.wrong(f"“{key}” is missing. Add it.")
            return EMPTY[kind]
        item = self.row[key]
        if kind is tuple and isinstance(item, list):
            return tuple(item)
        if not isinstance(item, kind) or (kind is int and isinstance(item, bool)):
            self.wrong(f"“{key}” must be {KIND_NAMES[kind]}.")
            return EMPTY[kind]
        return item


KIND_NAMES = {
    str: "a text in quotes",
    int: "a whole number",
    bool: "true or false",
    tuple: "a list",
    Mapping: "a table",
}
EMPTY: dict[type, Any] = {str: "", int: 0, bool: False, tuple: (), Mapping: {}}
Want = Callable[[Row, str], Any]


def text(spare: Any = REQUIRED) -> Want:
    """A text; one that is required may not be blank."""

    def want(row: Row, key: str) -> str:
        item: str = row.get(key, str, spare)
        if spare is REQUIRED and isinstance(row.row.get(key), str) and not item.strip():
            row.wrong(f"“{key}” is empty. Write it.")
        return _short(row, key, item)

    return want


def _short(row: Row, key: str, item: str) -> str:
    if len(item) > LONGEST:
        row.wrong(f"“{key}” is longer than {LONGEST} characters. Make it shorter.")
    if "\x00" in item:
        row.wrong(f"“{key}” holds a character that can't be printed. Take it out.")
    return item


def code(row: Row, key: str) -> str:
    item: str = row.get(key, str, REQUIRED)
    if not CODE.match(item) or len(item) > 80:
        row.wrong(f"“{key}” must be small letters, digits and single hyphens, such as guard-low-1.")
    return item


def picture(spare: Any = REQUIRED) -> Want:
    def want(row: Row, key: str) -> str:
        item: str = row.get(key, str, spare)
        if item and (not PICTURE.match(item) or len(item) > 100):
            row.wrong(f"“{key}” must be a plain file name such as band-saw-parts.svg, with no folder.")
        return item

    return want


def flag(row: Row, key: str) -> bool:
    return bool(row.get(key, bool, False))


def number(least: int, most: int, spare: Any = REQUIRED) -> Want:
    def want(row: Row, key: str) -> int:
        item: int = row.get(key, int, spare)
        if not least <= item <= most:
            row.wrong(f"“{key}” must be from {least} to {most}.")
        return item

    return want


def texts(least: int) -> Want:
    def want(row: Row, key: str) -> tuple[str, ...]:
        items = row.get(key, tuple, () if least == 0 else REQUIRED)
        if not all(isinstance(item, str) for item in items):
            row.wrong(f"“{key}” must be a list of texts in quotes.")
            return ()
        if len(items) < least:
            row.wrong(f"“{key}” needs at least {least}.")
        if not all(item.strip() for item in items):
            row.wrong(f"“{key}” holds an empty text. Write it or take it out.")
        return tuple(_short(row, key, item) for item in items)

    return want


def amount(spare: Any = REQUIRED) -> Want:
    def want(row: Row, key: str) -> str:
        item: str = row.get(key, str, spare)
        try:
            read_amount(item)
        except Unreadable as error:
            row.wrong(f"“{key}”: {error.sentence}")
        return item

    return want


def recall(row: Row, key: str) -> Recall | None:
    item = row.get(key, Mapping, None)
    if item is None:
        return None
    inner = Row(item, row.line, f"{row.where}, recall", row.problems)
    taken = Recall(**inner.take({"text": text(), "key": texts(1)}))
    if len(BLANK.findall(taken.text)) != 1:
        inner.wrong("“text” needs one blank, written as ____.")
    return taken


def swaps(row: Row, key: str) -> tuple[tuple[int, ...], ...]:
    """Groups of 1-based places; a place stands in one group at most, so that "may change places" has one meaning."""
    groups = row.get(key, tuple, ())
    steps = len(row.row["steps"]) if isinstance(row.row.get("steps"), list | tuple) else 0
    if not all(isinstance(group, list | tuple) and len(group) > 1 for group in groups):
        row.wrong(f"“{key}” is a list of groups of places, such as [[2, 3]].")
        return ()
    places = [place for group in groups for place in group]
    if not all(type(place) is int and 1 <= place <= steps for place in places):
        row.wrong(f"“{key}” names a place that is not there. The places are 1 to {steps}.")
        return ()
    if len(set(places)) < len(places):
        row.wrong(f"“{key}” names a place twice. Put all places that may swap in one group.")
    return tuple(tuple(sorted(group)) for group in groups)


def pairs(row: Row, key: str) -> tuple[tuple[str, str], ...]:
    items = row.get(key, tuple, REQUIRED)
    if not all(isinstance(item, list | tuple) and [type(side) for side in item] == [str, str] for item in items):
        row.wrong(f'“{key}” is a list of pairs, such as ["Eyes", "Safety glasses"].')
        return ()
    if len(items) < 2:
        row.wrong(f"“{key}” needs at least 2.")
    return tuple((_short(row, key, left), _short(row, key, right)) for left, right in items)


def places(row: Row, key: str) -> tuple[Place, ...]:
    items = row.get(key, tuple, REQUIRED)
    if len(items) < 2:
        row.wrong(f"“{key}” needs at least 2.")
    found = []
    for count, item in enumerate(items, 1):
        if not isinstance(item, Mapping):
            row.wrong(f"“{key}” is a list of tables, each with says and points.")
            continue
        inner = Row(item, row.line, f"{row.where}, place {count}", row.problems)
        found.append(Place(**inner.take({"says": text(), "points": points})))
    return tuple(found)


def points(row: Row, key: str) -> tuple[tuple[float, float], ...]:
    items = row.get(key, tuple, REQUIRED)
    if not all(isinstance(item, list | tuple) and len(item) == 2 and all(map(_is_number, item)) for item in items):
        row.wrong(f"“{key}” is a list of corners, such as [[10, 10], [40, 10], [40, 30]].")
        return ()
    if len(items) < 3:
        row.wrong(f"“{key}” needs at least 3 corners.")
    return tuple((x, y) for x, y in items)


def _is_number(item: Any) -> bool:
    return isinstance(item, int | float) and not isinstance(item, bool) and 0 <= item <= 100_000


HEAD: dict[str, Want] = {"code": code, "subject": text(), "language": text("en"), "about": text(""), "after": text("")}
QUIZ: dict[str, Want] = {"ask": number(1, 100), "wait_minutes": number(0, 10_080, 5), "misses_a_day": number(1, 20, 2)}
VALUE: dict[str, Want] = {
    "code": code,
    "says": text(""),
    "amount": amount(),
    "unit": text(),
    "source": text(""),
    "note": text(""),
}
RULE: dict[str, Want] = {
    "code": code,
    "says": text(),
    "why": text(""),
    "source": text(""),
    "must_ask": flag,
    "recall": recall,
    "picture": picture(""),
    "picture_alt": text(""),
    "retired": flag,
}
EVERY: dict[str, Want] = {"code": code, "rule": code, "asks": text(), "retired": flag}
QUESTIONS: dict[type[Question], dict[str, Want]] = {
    One: EVERY | {"right": text(), "wrong": texts(1)},
    Several: EVERY | {"right": texts(1), "wrong": texts(0)},
    Order: EVERY | {"steps": texts(2), "may_swap": swaps},
    Pair: EVERY | {"pairs": pairs, "extra": texts(0)},
    Spot: EVERY | {"picture": picture(), "picture_alt": text(""), "places": places, "right": number(1, MOST_OPTIONS)},
    Measure: EVERY | {"value": code, "tolerance": amount("0")},
}


def _value(row: Row) -> Value:
    return Value(**row.take(VALUE))


def _rule(row: Row) -> Rule:
    return Rule(**row.take(RULE))


def _question(row: Row) -> Question | None:
    kind = KINDS.get(str(row.row.get("kind")))
    if kind is None:
        row.wrong(f"“kind” must be one of {', '.join(KINDS)}.")
        return None
    rest = {key: item for key, item in row.row.items() if key != "kind"}
    question = kind(**Row(rest, row.line, row.where, row.problems).take(QUESTIONS[kind]))
    if isinstance(question, Spot) and question.right > len(question.places):
        row.wrong(f"“right” must be the number of a place, 1 to {len(question.places)}.")
    if len(option_texts(question)) > MOST_OPTIONS:
        row.wrong(f"A question holds {MOST_OPTIONS} answers at most. Make it two questions.")
    return question


class Reader:
    """Walks the tables of a bank."""

    def __init__(self, data: Mapping[str, Any], lines: Lines):
        self.data, self.lines = data, lines
        self.problems: list[Problem] = []
        self.met: list[tuple[Row, Any]] = []

    def table(self, name: str, wants: Mapping[str, Want]) -> dict[str, Any]:
        row = Row({}, self.lines.get((name, 0), 0), f"[{name}]", self.problems)
        found: Any = self.data.get(name)
        if isinstance(found, Mapping):
            row.row = found
            return row.take(wants)
        row.wrong(f"The table [{name}] is missing. Add it, with {', '.join(wants)}.")
        return Row(FALLBACK[name], 0, "", []).take(wants)

    def rows(self, name: str, one: Callable[[Row], Any]) -> Iterator[Any]:
        found = self.data.get(name, [])
        row = Row({}, self.lines.get((name, 0), 0), f"[[{name}]]", self.problems)
        if not isinstance(found, list | tuple) or not all(isinstance(item, Mapping) for item in found):
            row.wrong(f"Write each {name} as a table under its own [[{name}]].")
        elif len(found) > MOST[name]:
            row.wrong(f"There are {len(found)}, and a bank holds {MOST[name]} at most. Split it by subject.")
        else:
            yield from self._each(name, found, one)

    def _each(self, name: str, found: Sequence[Mapping[str, Any]], one: Callable[[Row], Any]) -> Iterator[Any]:
        seen: set[str] = set()
        for count, item in enumerate(found):
            row = self.row(name, count, item)
            read = one(row)
            if read is None:
                continue
            if read.code in seen:
                row.wrong(f"The code “{read.code}” stands twice. Give each {name} its own.")
            seen.add(read.code)
            self.met.append((row, read))
            yield read

    def row(self, name: str, count: int, item: Mapping[str, Any]) -> Row:
        own = item.get("code")
        where = f"{name} {own}" if isinstance(own, str) and own else f"{name} number {count + 1}"
        return Row(item, self.lines.get((name, count), 0), where, self.problems)


FALLBACK: dict[str, dict[str, Any]] = {"bank": {"code": "none", "subject": ""}, "quiz": {"ask": 1}}


def _cross_check(bank: BankText, read: Reader) -> None:
    """What one row says of another: the rule of a question, the stored value of a measure."""
    for row, question in read.met:
        if not isinstance(question, Question):
            continue
        if question.rule not in bank.rule_by_code:
            row.wrong(f"There is no rule “{question.rule}”. Add the rule, or name another.")
        if isinstance(question, Measure) and question.value not in bank.value_by_code:
            row.wrong(f"There is no stored value “{question.value}”. Add it under [[value]].")


def _check_extras(extras: Mapping[str, Any], read: Reader) -> None:
    """Tables that other parts read are kept as they are; they must fit into JSON, as drafts and editions are stored."""
    for name, item in extras.items():
        if not _fits(item):
            row = Row({}, read.lines.get((name, 0), 0), f"[{name}]", read.problems)
            row.wrong("It holds a date or a number that is out of range. Write it as a text in quotes.")


def _fits(item: Any) -> bool:
    match item:
        case Mapping():
            return all(isinstance(key, str) and _fits(part) for key, part in item.items())
        case list() | tuple():
            return all(map(_fits, item))
        case float():
            return math.isfinite(item)
        case int():
            return abs(item) < 2**53
    return isinstance(item, str)


# ---- writing -------------------------------------------------------------------------------------------------------


def to_data(bank: BankText) -> dict[str, Any]:
    """The bank as plain data in one canonical order; what is empty or as usual is left out."""
    blueprint = bank.blueprint
    data: dict[str, Any] = {
        "bank": _plain(bank, HEAD),
        "quiz": {
            "ask": blueprint.ask,
            "wait_minutes": blueprint.wait_minutes,
            "misses_a_day": blueprint.misses_a_day,
        },
        "value": [_plain(value, VALUE) for value in bank.values],
        "rule": [_plain(rule, RULE) for rule in bank.rules],
        "question": [_question_data(question) for question in bank.questions],
    }
    return {key: item for key, item in data.items() if item} | dict(bank.extras)


def _question_data(question: Question) -> dict[str, Any]:
    data = _plain(question, QUESTIONS[type(question)])
    return {"code": data.pop("code"), "rule": data.pop("rule"), "kind": question.kind} | data


def _plain(item: Any, wants: Mapping[str, Want]) -> dict[str, Any]:
    plain = {key: _value_data(getattr(item, key)) for key in wants}
    retired = plain.pop("retired", False)
    kept = {key: part for key, part in plain.items() if part not in ("", None, [], False)}
    return kept | ({"retired": True} if retired else {})


def _value_data(part: Any) -> Any:
    match part:
        case Recall():
            return {"text": part.text, "key": list(part.key)}
        case Place():
            return {"says": part.says, "points": [list(point) for point in part.points]}
        case tuple():
            return [_value_data(one) for one in part]
    return part
