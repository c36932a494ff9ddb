"""The fields of a bank's tables: each reads one key of a row, of its kind, and keeps every problem it meets."""

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from quizzes.facts import Place, Recall
from quizzes.questions.lengths import Unreadable, read_amount

CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
PICTURE = re.compile(r"[a-z0-9]+([-.][a-z0-9]+)*\.(svg|png|jpg|webp)\Z")
BLANK = re.compile(r"_{3,}")
LONGEST = 600  # characters in one text
MOST_PROBLEMS = 200  # told at once; a file with more is not fixed in one go
MOST_ROWS = 12  # of a stored value's table: it must fit a wall card

REQUIRED = object()


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


class TableRow:
    """One table taken apart: typed fields, every problem kept, so that an author mends a file in one go."""

    def __init__(self, row: Mapping[str, Any], line: int, where: str, problems: list[Problem]):
        self.row, self.line, self.where, self.problems = row, line, where, problems

    def wrong(self, sentence: str) -> None:
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.line, self.where[:120], sentence))

    def take(self, wants: Mapping[str, "Want"]) -> dict[str, Any]:
        for key in self.row:
            if key not in wants and len(self.problems) < MOST_PROBLEMS:
                near = difflib.get_close_matches(key, wants, 1)
                self.wrong(
                    f"“{key[:80]}” is not known here. " + (f"Did you mean {near[0]}?" if near else "Leave it out.")
                )
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
Want = Callable[[TableRow, str], Any]


def text(spare: Any = REQUIRED) -> Want:
    """A text; one that is required may not be blank."""

    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, spare)
        if spare is REQUIRED and isinstance(row.row.get(key), str) and not item.strip():
            row.wrong(f"“{key}” is empty. Write it.")
        return _short(row, key, item)

    return want


def _short(row: TableRow, key: str, item: str) -> str:
    if len(item) > LONGEST:
        row.wrong(f"“{key}” is longer than {LONGEST} characters. Make it shorter.")
    if "\x00" in item:
        row.wrong(f"“{key}” holds a character that can't be printed. Take it out.")
    return item


def code(row: TableRow, key: str) -> str:
    item: str = row.get(key, str, REQUIRED)
    if not CODE.match(item) or len(item) > 80:
        row.wrong(f"“{key}” must be small letters, digits and single hyphens, such as guard-low-1.")
    return item


def picture(spare: Any = REQUIRED) -> Want:
    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, spare)
        if item and (not PICTURE.match(item) or len(item) > 100):
            row.wrong(f"“{key}” must be a plain file name such as band-saw-parts.svg, with no folder.")
        return item

    return want


def flag(row: TableRow, key: str) -> bool:
    return bool(row.get(key, bool, False))


def number(least: int, most: int, spare: Any = REQUIRED) -> Want:
    def want(row: TableRow, key: str) -> int:
        item: int = row.get(key, int, spare)
        if not least <= item <= most:
            row.wrong(f"“{key}” must be from {least} to {most}.")
        return item

    return want


def numbers(row: TableRow, key: str) -> tuple[int, ...]:
    """A list of whole numbers, each once."""
    items = row.get(key, tuple, ())
    if not all(type(item) is int for item in items) or len(set(items)) < len(items):
        row.wrong(f"“{key}” must be a list of whole numbers, each once, such as [1, 2].")
        return ()
    return tuple(sorted(items))


def texts(least: int) -> Want:
    def want(row: TableRow, key: str) -> tuple[str, ...]:
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
    inner = TableRow(item, row.line, f"{row.where}, recall", row.problems)
    taken = Recall(**inner.take({"text": text(), "key": texts(1)}))
    if len(BLANK.findall(taken.text)) != 1:
        inner.wrong("“text” needs one blank, written as ____.")
    return taken


def swaps(row: TableRow, key: str) -> tuple[tuple[int, ...], ...]:
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


def one_of(choices: tuple[str, ...]) -> Want:
    """One of these words; the empty one stands for the key left out."""

    def want(row: TableRow, key: str) -> str:
        item: str = row.get(key, str, "")
        if item not in choices:
            row.wrong(f"“{key}” must be {' or '.join(filter(None, choices))}, or be left out.")
        return item

    return want


def sizes(row: TableRow, key: str) -> tuple[tuple[str, str], ...]:
    """The rows of a small table: a size in words and the bare number for it."""
    items = row.get(key, tuple, ())
    if not all(isinstance(item, list | tuple) and [type(side) for side in item] == [str, str] for item in items):
        row.wrong(f'“{key}” is a list of sizes with a number each, such as ["up to 1 in", "24000"].')
        return ()
    if items and not 2 <= len(items) <= MOST_ROWS:
        row.wrong(f"“{key}” needs 2 to {MOST_ROWS} rows.")
    if len({size for size, _ in items}) < len(items):
        row.wrong(f"“{key}” names a size twice. Give each row its own.")
    for size, number_text in items:
        if not size.strip():
            row.wrong(f"“{key}” has a row without a size. Write it.")
        try:
            read_amount(number_text)
        except Unreadable as error:
            row.wrong(f"“{key}”, {size}: {error.sentence}")
    return tuple((_short(row, key, size), number_text) for size, number_text in items)


def pairs(row: TableRow, key: str) -> tuple[tuple[str, str], ...]:
    items = row.get(key, tuple, REQUIRED)
    if not all(isinstance(item, list | tuple) and [type(side) for side in item] == [str, str] for item in items):
        row.wrong(f'“{key}” is a list of pairs, such as ["Eyes", "Safety glasses"].')
        return ()
    if len(items) < 2:
        row.wrong(f"“{key}” needs at least 2.")
    return tuple((_short(row, key, left), _short(row, key, right)) for left, right in items)


def places(row: TableRow, key: str) -> tuple[Place, ...]:
    items = row.get(key, tuple, REQUIRED)
    if len(items) < 2:
        row.wrong(f"“{key}” needs at least 2.")
    parsed_places = []
    for count, item in enumerate(items, 1):
        if not isinstance(item, Mapping):
            row.wrong(f"“{key}” is a list of tables, each with says and points.")
            continue
        inner = TableRow(item, row.line, f"{row.where}, place {count}", row.problems)
        parsed_places.append(Place(**inner.take({"says": text(), "points": points})))
    return tuple(parsed_places)


def points(row: TableRow, key: str) -> tuple[tuple[float, float], ...]:
    items = row.get(key, tuple, REQUIRED)
    if not all(isinstance(item, list | tuple) and len(item) == 2 and all(map(_is_number, item)) for item in items):
        row.wrong(f"“{key}” is a list of corners, such as [[10, 10], [40, 10], [40, 30]].")
        return ()
    if len(items) < 3:
        row.wrong(f"“{key}” needs at least 3 corners.")
    return tuple((x, y) for x, y in items)


def _is_number(item: Any) -> bool:
    return isinstance(item, int | float) and not isinstance(item, bool) and 0 <= item <= 100_000
