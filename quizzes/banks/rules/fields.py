"""The fields of a bank's tables: each reads one key of a row, of its kind, and keeps every problem it meets."""

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from quizzes.facts import Place, Recall
from quizzes.questions.lengths import Unreadable, read_amount
from shopsafe.language.messages import _, marked

CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
PICTURE = re.compile(r"[a-z0-9]+([-.][a-z0-9]+)*\.(svg|png|jpg|webp)\Z")
BLANK = re.compile(r"_{3,}")
LONGEST = 600  # characters in one text
MOST_PROBLEMS = 200  # reported together; a file with more is not fixed in one go
MOST_ROWS = 12  # of a stored value's table: it must fit a wall card

REQUIRED = object()


@dataclass(frozen=True)
class Problem:
    """One thing that can't be read: where (a line, 0 if unknown, and a name) and what to do."""

    line: int
    where: str
    sentence: str

    def __str__(self) -> str:
        if not self.line:
            return f"{self.where}: {self.sentence}"
        return _("line {line}, {where}: {sentence}", line=self.line, where=self.where, sentence=self.sentence)


class BankFileError(ValueError):
    """The data is no bank. Nothing was read; `problems` names each fault."""

    def __init__(self, problems: tuple[Problem, ...]):
        super().__init__("; ".join(map(str, problems)))
        self.problems = problems


class TableRow:
    """One table taken apart: typed fields, every problem kept, so that an author fixes a file in one go."""

    def __init__(self, row: Mapping[str, Any], line: int, where: str, problems: list[Problem]):
        self.row, self.line, self.where, self.problems = row, line, where, problems

    def wrong(self, sentence: str) -> None:
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.line, self.where[:120], sentence))

    def take(self, wants: Mapping[str, "Want"]) -> dict[str, Any]:
        for key in self.row:
            if key not in wants and len(self.problems) < MOST_PROBLEMS:
                near = difflib.get_close_matches(key, wants, 1)
                if near:
                    self.wrong(_("“{key}” is not known here. Did you mean {other}?", key=key[:80], other=near[0]))
                else:
                    self.wrong(_("“{key}” is not known here. Leave it out.", key=key[:80]))
        return {key: want(self, key) for key, want in wants.items()}

    def get(self, key: str, kind: type, spare: Any) -> Any:
        if key not in self.row:
            if spare is not REQUIRED:
                return spare
            self.wrong(_("“{key}” is missing. Add it.", key=key))
            return EMPTY[kind]
        item = self.row[key]
        if kind is tuple and isinstance(item, list):
            return tuple(item)
        if not isinstance(item, kind) or (kind is int and isinstance(item, bool)):
            self.wrong(_(MUST_BE[kind], key=key))
            return EMPTY[kind]
        return item


MUST_BE = {
    str: marked("“{key}” must be a text in quotes."),
    int: marked("“{key}” must be a whole number."),
    bool: marked("“{key}” must be true or false."),
    tuple: marked("“{key}” must be a list."),
    Mapping: marked("“{key}” must be a table."),
}
EMPTY: dict[type, Any] = {str: "", int: 0, bool: False, tuple: (), Mapping: {}}
Want = Callable[[TableRow, str], Any]


def text(spare: Any = REQUIRED) -> Want:
    """A text; one that is required may not be blank."""

    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, spare)
        if spare is REQUIRED and isinstance(row.row.get(key), str) and not item.strip():
            row.wrong(_("“{key}” is empty. Write it.", key=key))
        return _short(row, key, item)

    return want


def _short(row: TableRow, key: str, item: str) -> str:
    if len(item) > LONGEST:
        row.wrong(_("“{key}” is longer than {number} characters. Make it shorter.", key=key, number=LONGEST))
    if "\x00" in item:
        row.wrong(_("“{key}” holds a character that can't be printed. Take it out.", key=key))
    return item


def code(row: TableRow, key: str) -> str:
    item: str = row.get(key, str, REQUIRED)
    if not CODE.match(item) or len(item) > 80:
        row.wrong(_("“{key}” must be small letters, digits and single hyphens, such as guard-low-1.", key=key))
    return item


def picture(spare: Any = REQUIRED) -> Want:
    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, spare)
        if item and (not PICTURE.match(item) or len(item) > 100):
            row.wrong(_("“{key}” must be a plain file name such as band-saw-parts.svg, with no folder.", key=key))
        return item

    return want


def flag(row: TableRow, key: str) -> bool:
    return bool(row.get(key, bool, False))


def number(least: int, most: int, spare: Any = REQUIRED) -> Want:
    def want(row: TableRow, key: str) -> int:
        item: int = row.get(key, int, spare)
        if not least <= item <= most:
            row.wrong(_("“{key}” must be from {least} to {most}.", key=key, least=least, most=most))
        return item

    return want


def numbers(row: TableRow, key: str) -> tuple[int, ...]:
    """A list of whole numbers, each once."""
    items = row.get(key, tuple, ())
    if not all(type(item) is int for item in items) or len(set(items)) < len(items):
        row.wrong(_("“{key}” must be a list of whole numbers, each once, such as [1, 2].", key=key))
        return ()
    return tuple(sorted(items))


def texts(least: int) -> Want:
    def want(row: TableRow, key: str) -> tuple[str, ...]:
        items = row.get(key, tuple, () if least == 0 else REQUIRED)
        if not all(isinstance(item, str) for item in items):
            row.wrong(_("“{key}” must be a list of texts in quotes.", key=key))
            return ()
        if len(items) < least:
            row.wrong(_("“{key}” needs at least {number}.", key=key, number=least))
        if not all(item.strip() for item in items):
            row.wrong(_("“{key}” holds an empty text. Write it or take it out.", key=key))
        return tuple(_short(row, key, item) for item in items)

    return want


def amount(spare: Any = REQUIRED) -> Want:
    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, spare)
        if key not in row.row and spare is not REQUIRED:
            return item
        try:
            read_amount(item)
        except Unreadable as error:
            row.wrong(f"“{key}”: {error.sentence}")
        return item

    return want


def recall(row: TableRow, key: str) -> Recall | None:
    item = row.get(key, Mapping, None)
    if item is None:
        return None
    inner = TableRow(item, row.line, _("{where}, recall", where=row.where), row.problems)
    taken = Recall(**inner.take({"text": text(), "key": texts(1)}))
    if len(BLANK.findall(taken.text)) != 1:
        inner.wrong(_("“text” needs one blank, written as ____."))
    return taken


def swaps(row: TableRow, key: str) -> tuple[tuple[int, ...], ...]:
    """Groups of 1-based places; a place is in one group at most, so that "may change places" has one meaning."""
    groups = row.get(key, tuple, ())
    steps = len(row.row["steps"]) if isinstance(row.row.get("steps"), list | tuple) else 0
    if not all(isinstance(group, list | tuple) and len(group) > 1 for group in groups):
        row.wrong(_("“{key}” is a list of groups of places, such as [[2, 3]].", key=key))
        return ()
    places = [place for group in groups for place in group]
    if not all(type(place) is int and 1 <= place <= steps for place in places):
        row.wrong(_("“{key}” names a place that is not there. The places are 1 to {steps}.", key=key, steps=steps))
        return ()
    if len(set(places)) < len(places):
        row.wrong(_("“{key}” names a place twice. Put all places that may swap in one group.", key=key))
    return tuple(tuple(sorted(group)) for group in groups)


def one_of(choices: tuple[str, ...]) -> Want:
    """One of these words; the empty one stands for the key left out."""

    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, "")
        if item not in choices:
            known = _any_of([choice for choice in choices if choice])
            row.wrong(_("“{key}” must be {choices}, or be left out.", key=key, choices=known))
        return item

    return want


def _any_of(words: list[str]) -> str:
    """ "shop or machine or tool"."""
    first, *others = words
    for word in others:
        first = _("{choices} or {choice}", choices=first, choice=word)
    return first


def sizes(row: TableRow, key: str) -> tuple[tuple[str, str], ...]:
    """The rows of a small table: a size in words and the bare number for it."""
    items = row.get(key, tuple, ())
    if not all(isinstance(item, list | tuple) and [type(side) for side in item] == [str, str] for item in items):
        row.wrong(_('“{key}” is a list of sizes with a number each, such as ["up to 1 in", "24000"].', key=key))
        return ()
    if items and not 2 <= len(items) <= MOST_ROWS:
        row.wrong(_("“{key}” needs 2 to {most} rows.", key=key, most=MOST_ROWS))
    if len({size for size, _number in items}) < len(items):
        row.wrong(_("“{key}” names a size twice. Give each row its own.", key=key))
    for size, number_text in items:
        if not size.strip():
            row.wrong(_("“{key}” has a row without a size. Write it.", key=key))
        try:
            read_amount(number_text)
        except Unreadable as error:
            row.wrong(f"“{key}”, {size}: {error.sentence}")
    return tuple((_short(row, key, size), number_text) for size, number_text in items)


def pairs(row: TableRow, key: str) -> tuple[tuple[str, str], ...]:
    items = row.get(key, tuple, REQUIRED)
    if not all(isinstance(item, list | tuple) and [type(side) for side in item] == [str, str] for item in items):
        row.wrong(_('“{key}” is a list of pairs, such as ["Eyes", "Safety glasses"].', key=key))
        return ()
    if len(items) < 2:
        row.wrong(_("“{key}” needs at least 2.", key=key))
    return tuple((_short(row, key, left), _short(row, key, right)) for left, right in items)


def places(row: TableRow, key: str) -> tuple[Place, ...]:
    items = row.get(key, tuple, REQUIRED)
    if len(items) < 2:
        row.wrong(_("“{key}” needs at least 2.", key=key))
    parsed_places = []
    for count, item in enumerate(items, 1):
        if not isinstance(item, Mapping):
            row.wrong(_("“{key}” is a list of tables, each with says and points.", key=key))
            continue
        inner = TableRow(item, row.line, _("{where}, place {number}", where=row.where, number=count), row.problems)
        parsed_places.append(Place(**inner.take({"says": text(), "points": points})))
    return tuple(parsed_places)


def points(row: TableRow, key: str) -> tuple[tuple[float, float], ...]:
    items = row.get(key, tuple, REQUIRED)
    if not all(isinstance(item, list | tuple) and len(item) == 2 and all(map(_is_number, item)) for item in items):
        row.wrong(_("“{key}” is a list of corners, such as [[10, 10], [40, 10], [40, 30]].", key=key))
        return ()
    if len(items) < 3:
        row.wrong(_("“{key}” needs at least 3 corners.", key=key))
    return tuple((x, y) for x, y in items)


def _is_number(item: Any) -> bool:
    return isinstance(item, int | float) and not isinstance(item, bool) and 0 <= item <= 100_000
