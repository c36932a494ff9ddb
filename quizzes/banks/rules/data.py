"""A bank as plain data, in and out: the shape that files, stored drafts and editions share. Finds every problem."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from quizzes.banks.rules.fields import (
    MOST_ROWS,
    BankFileError,
    Problem,
    TableRow,
    Want,
    amount,
    code,
    flag,
    number,
    numbers,
    one_of,
    pairs,
    picture,
    places,
    recall,
    sizes,
    swaps,
    text,
    texts,
)
from quizzes.facts import (
    BOUNDS,
    KINDS,
    SET_BY,
    AllThatApply,
    BankText,
    Blueprint,
    Measure,
    OneAnswer,
    Order,
    Pair,
    Place,
    Question,
    Recall,
    Rule,
    Spot,
    Value,
    option_texts,
    sentences,
)
from shopsafe.language.messages import _

TABLES = ("bank", "quiz", "value", "rule", "question")
MOST = {"value": 200, "rule": 200, "question": 2000}
MOST_OPTIONS = 12
Lines = Mapping[tuple[str, int], int]


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


HEAD: dict[str, Want] = {"code": code, "subject": text(), "language": text("en"), "about": text(""), "after": text("")}
QUIZ: dict[str, Want] = {"ask": number(1, 100), "wait_minutes": number(0, 10_080, 5), "misses_a_day": number(1, 20, 2)}
VALUE: dict[str, Want] = {
    "code": code,
    "rule": text(""),
    "says": text(""),
    "amount": amount(""),
    "unit": text(),
    "bound": one_of(BOUNDS),
    "set_by": one_of(SET_BY),
    "size": text(""),
    "table": sizes,
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
EVERY: dict[str, Want] = {"code": code, "rule": code, "asks": text(), "decided_by": numbers, "retired": flag}
QUESTIONS: dict[type[Question], dict[str, Want]] = {
    OneAnswer: EVERY | {"right": text(), "wrong": texts(1)},
    AllThatApply: EVERY | {"right": texts(1), "wrong": texts(0)},
    Order: EVERY | {"steps": texts(2), "may_swap": swaps},
    Pair: EVERY | {"pairs": pairs, "extra": texts(0)},
    Spot: EVERY | {"picture": picture(), "picture_alt": text(""), "places": places, "right": number(1, MOST_OPTIONS)},
    Measure: EVERY | {"value": code, "tolerance": amount("0"), "row": number(0, MOST_ROWS, 0)},
}


def _value(row: TableRow) -> Value:
    value = Value(**row.take(VALUE))
    if bool(value.amount) == bool(value.table):
        row.wrong(
            _("A number to know has an “amount”, or a “table” of sizes with an amount for each. Write one of them.")
        )
    return value


def _rule(row: TableRow) -> Rule:
    return Rule(**row.take(RULE))


def _question(row: TableRow) -> Question | None:
    kind = KINDS.get(str(row.row.get("kind")))
    if kind is None:
        row.wrong(_("“kind” must be one of {kinds}.", kinds=", ".join(KINDS)))
        return None
    rest = {key: item for key, item in row.row.items() if key != "kind"}
    question = kind(**TableRow(rest, row.line, row.where, row.problems).take(QUESTIONS[kind]))
    if isinstance(question, Spot) and question.right > len(question.places):
        row.wrong(_("“right” must be the number of a place, 1 to {number}.", number=len(question.places)))
    if len(option_texts(question)) > MOST_OPTIONS:
        row.wrong(_("A question holds {number} answers at most. Make it two questions.", number=MOST_OPTIONS))
    return question


class Reader:
    """Walks the tables of a bank."""

    def __init__(self, data: Mapping[str, Any], lines: Lines):
        self.data, self.lines = data, lines
        self.problems: list[Problem] = []
        self.met: list[tuple[TableRow, Any]] = []

    def table(self, name: str, wants: Mapping[str, Want]) -> dict[str, Any]:
        row = TableRow({}, self.lines.get((name, 0), 0), f"[{name}]", self.problems)
        content: Any = self.data.get(name)
        if isinstance(content, Mapping):
            row.row = content
            return row.take(wants)
        row.wrong(_("The table [{table}] is missing. Add it, with {keys}.", table=name, keys=", ".join(wants)))
        return TableRow(FALLBACK[name], 0, "", []).take(wants)

    def rows(self, name: str, read_row: Callable[[TableRow], Any]) -> Iterator[Any]:
        tables = self.data.get(name, [])
        row = TableRow({}, self.lines.get((name, 0), 0), f"[[{name}]]", self.problems)
        if not isinstance(tables, list | tuple) or not all(isinstance(item, Mapping) for item in tables):
            row.wrong(_("Write each {table} as a table under its own [[{table}]].", table=name))
        elif len(tables) > MOST[name]:
            row.wrong(
                _(
                    "There are {number}, and a bank holds {most} at most. Split it by subject.",
                    number=len(tables),
                    most=MOST[name],
                )
            )
        else:
            yield from self._each(name, tables, read_row)

    def _each(
        self, name: str, tables: Sequence[Mapping[str, Any]], read_row: Callable[[TableRow], Any]
    ) -> Iterator[Any]:
        seen: set[str] = set()
        for count, item in enumerate(tables):
            row = self.row(name, count, item)
            read = read_row(row)
            if read is None:
                continue
            if read.code in seen:
                row.wrong(_("The code “{code}” appears twice. Give each {table} its own.", code=read.code, table=name))
            seen.add(read.code)
            self.met.append((row, read))
            yield read

    def row(self, name: str, count: int, item: Mapping[str, Any]) -> TableRow:
        own = item.get("code")
        where = (
            f"{name} {own}"
            if isinstance(own, str) and own
            else _("{name} number {number}", name=name, number=count + 1)
        )
        return TableRow(item, self.lines.get((name, count), 0), where, self.problems)


FALLBACK: dict[str, dict[str, Any]] = {"bank": {"code": "none", "subject": ""}, "quiz": {"ask": 1}}


def _cross_check(bank: BankText, read: Reader) -> None:
    """What one row says of another: the rule of a question or a value, the stored value of a measure."""
    for row, item in read.met:
        if not isinstance(item, Question | Value):
            continue
        if item.rule not in bank.rule_by_code and not (isinstance(item, Value) and not item.rule):
            row.wrong(_("There is no rule “{code}”. Add the rule, or name another.", code=item.rule))
        if isinstance(item, Question):
            _check_sentences(item, bank, row)
        if isinstance(item, Measure):
            _check_measure(item, bank, row)


def _check_sentences(question: Question, bank: BankText, row: TableRow) -> None:
    rule = bank.rule_by_code.get(question.rule)
    most = len(sentences(rule.says)) if rule else 0
    if rule and not all(0 <= sentence <= most for sentence in question.decided_by):
        row.wrong(_("“decided_by” names sentences of its rule, 1 to {most}, or 0 for its reason.", most=most))


def _check_measure(question: Measure, bank: BankText, row: TableRow) -> None:
    value = bank.value_by_code.get(question.value)
    if value is None:
        row.wrong(_("There is no number to know “{code}”. Add it under [[value]].", code=question.value))
    elif value.table and not 1 <= question.row <= len(value.table):
        row.wrong(
            _(
                "“row” must name a row of the table “{code}”, from 1 to {number}.",
                code=value.code,
                number=len(value.table),
            )
        )
    elif question.row and not value.table:
        row.wrong(_("The number to know “{code}” is one number. Leave “row” out.", code=value.code))


def _check_extras(extras: Mapping[str, Any], read: Reader) -> None:
    """Tables that other parts read are kept as they are; they must fit into JSON, as drafts and editions are stored."""
    for name, item in extras.items():
        if not _fits(item):
            row = TableRow({}, read.lines.get((name, 0), 0), f"[{name}]", read.problems)
            row.wrong(_("It holds a date or a number that is out of range. Write it as a text in quotes."))


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
        "question": [question_data(question) for question in bank.questions],
    }
    return {key: item for key, item in data.items() if item} | dict(bank.extras)


def question_data(question: Question) -> dict[str, Any]:
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
            return [_value_data(item) for item in part]
    return part
