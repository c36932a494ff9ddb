"""Reads answers from CSV files for item analysis. What can't be read is named by line, column and what to write."""

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from quizzes.figures.rules.analysis.facts import NOT_ASKED, Picks, Responses
from shopsafe.language.messages import _

MOST_BYTES = 50_000_000
MOST_QUESTIONS = 2_000
LONGEST_CODE = 40
CELLS = {"1": 1, "0": 0, "": NOT_ASKED}


class BadFile(ValueError):
    """The file can't be used. The sentence names the place and what to do."""


@dataclass(frozen=True)
class Row:
    """One line of a table: the line it ends on (from 1) and its cells."""

    line: int
    cells: list[str]


@dataclass(frozen=True)
class Sheet:
    """A table with a header row of question names."""

    file: str
    names: tuple[str, ...]
    rows: tuple[Row, ...]

    def place(self, line: int, column: int) -> str:
        """Return how to find a cell: by line and column (from 1) and the column's name."""
        return _(
            "{file}, line {line}, column {column} ({name})",
            file=self.file,
            line=line,
            column=column + 1,
            name=self.names[column],
        )


def read_responses(file: str, content: bytes) -> Responses:
    """Read right and wrong answers: 1, 0 or empty, one row a person. Raises BadFile."""
    sheet = _sheet(file, content)
    cells = np.empty((len(sheet.rows), len(sheet.names)), np.int8)
    for number, row in enumerate(sheet.rows):
        try:
            cells[number] = [CELLS[cell] for cell in row.cells]
        except KeyError:
            column = next(place for place, cell in enumerate(row.cells) if cell not in CELLS)
            where = sheet.place(row.line, column)
            raise BadFile(
                _(
                    "{where}: “{text}” is not an answer. Write 1 for right, 0 for wrong, or leave the cell empty.",
                    where=where,
                    text=row.cells[column][:20],
                )
            ) from None
    return Responses(names=sheet.names, cells=cells)


def read_picks(file: str, content: bytes, key_file: str, key_content: bytes) -> Picks:
    """Read the option each person picked, and the key: a header row of question names and one row of codes."""
    sheet = _sheet(file, content)
    keys = _keys(sheet, _sheet(key_file, key_content))
    codes, cells = [], np.empty((len(sheet.rows), len(sheet.names)), np.int16)
    for column, key in enumerate(keys):
        picked = [row.cells[column] for row in sheet.rows]
        options = tuple(sorted({key, *picked} - {""}))
        _check_codes(sheet, column, options)
        places = {code: place for place, code in enumerate(options)} | {"": NOT_ASKED}
        cells[:, column] = [places[code] for code in picked]
        codes.append(options)
    places_of_keys = tuple(options.index(key) for options, key in zip(codes, keys, strict=True))
    return Picks(names=sheet.names, codes=tuple(codes), keys=places_of_keys, cells=cells)


def _check_codes(sheet: Sheet, column: int, options: Sequence[str]) -> None:
    if len(options) > 1_000:
        raise BadFile(
            _(
                "{file}, column {column} ({name}): {number} different codes. Write the code of the option that "
                "was picked, such as A.",
                file=sheet.file,
                column=column + 1,
                name=sheet.names[column],
                number=len(options),
            )
        )
    for row in sheet.rows:
        if len(row.cells[column]) > LONGEST_CODE:
            where = sheet.place(row.line, column)
            raise BadFile(
                _(
                    "{where}: the code is longer than {number} characters. Write a short one, such as A.",
                    where=where,
                    number=LONGEST_CODE,
                )
            )


def _keys(sheet: Sheet, key: Sheet) -> list[str]:
    """Return the key of each question of `sheet`, in its order."""
    if len(key.rows) != 1:
        line = key.rows[1].line if len(key.rows) > 1 else 2
        raise BadFile(
            _(
                "{file}, line {line}: the key has {rows} rows. Give one row of right codes.",
                file=key.file,
                line=line,
                rows=len(key.rows),
            )
        )
    row = key.rows[0]
    for column, name in enumerate(key.names):
        if name not in sheet.names:
            raise BadFile(
                _(
                    "{key_file}, line 1, column {column}: {file} has no question “{name}”.",
                    key_file=key.file,
                    column=column + 1,
                    file=sheet.file,
                    name=name,
                )
            )
        if not row.cells[column]:
            raise BadFile(_("{where}: the right code is missing.", where=key.place(row.line, column)))
    by_name = dict(zip(key.names, row.cells, strict=True))
    for column, name in enumerate(sheet.names):
        if name not in by_name:
            raise BadFile(
                _(
                    "{file}, line 1, column {column}: {key_file} has no key for “{name}”.",
                    file=sheet.file,
                    column=column + 1,
                    key_file=key.file,
                    name=name,
                )
            )
    return [by_name[name] for name in sheet.names]


def check_alike(responses: Responses, picks: Picks, file: str, other: str) -> None:
    """Refuse a file of answers and a file of options that do not tell of the same answers. Raises BadFile."""
    if responses.names != picks.names:
        raise BadFile(
            _("{other}, line 1: the question names are not those of {file}, in the same order.", other=other, file=file)
        )
    if responses.cells.shape != picks.cells.shape:
        raise BadFile(
            _(
                "{other}: {rows} rows, and {file} has {other_rows}. Give the same persons.",
                other=other,
                rows=len(picks.cells),
                file=file,
                other_rows=len(responses.cells),
            )
        )
    differ = np.argwhere(picks.responses().cells != responses.cells)
    if differ.size:
        row, column = differ[0].tolist()
        raise BadFile(
            _(
                "{other}, person {row}, column {column} ({name}): the key makes another answer of it than {file} has.",
                other=other,
                row=row + 1,
                column=column + 1,
                name=picks.names[column],
                file=file,
            )
        )


def _sheet(file: str, content: bytes) -> Sheet:
    if len(content) > MOST_BYTES:
        raise BadFile(_("{file}: more than {number} MB. Split it.", file=file, number=MOST_BYTES // 1000000))
    text = _text(file, content)
    rows = list(_rows(file, text))
    if not rows:
        raise BadFile(_("{file}, line 1: the file is empty. Begin with a row of question names.", file=file))
    names = tuple(rows[0].cells)
    _check_names(file, names)
    for row in rows[1:]:
        if len(row.cells) != len(names):
            too_many = len(row.cells) > len(names)
            column = len(names) + 1 if too_many else len(row.cells) + 1
            raise BadFile(
                _(
                    "{file}, line {line}, column {column}: {cells} cells, and the header names {questions} "
                    "questions. Give one cell for each question, empty if it was not asked.",
                    file=file,
                    line=row.line,
                    column=column,
                    cells=len(row.cells),
                    questions=len(names),
                )
            )
    if len(rows) == 1:
        raise BadFile(_("{file}, line 2: no answers. Give one row for each person.", file=file))
    return Sheet(file, names, tuple(rows[1:]))


def _text(file: str, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        column = content[content.rfind(b"\n", 0, error.start) + 1 : error.start].count(b",") + 1
        raise BadFile(
            _(
                "{file}, line {line}, column {column}: not UTF-8 text. Save the file as CSV in UTF-8.",
                file=file,
                line=line,
                column=column,
            )
        ) from None


def _rows(file: str, text: str) -> Iterator[Row]:
    """Yield the rows that are not blank. The separator is that of the header: comma, semicolon or tab."""
    header = text.partition("\n")[0]
    separator = max(",;\t", key=header.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for cells in reader:
            if cells:
                yield Row(reader.line_num, [cell.strip() for cell in cells])
    except csv.Error as error:
        raise BadFile(
            _("{file}, line {line}: {error}. Save the file as CSV again.", file=file, line=reader.line_num, error=error)
        ) from None


def _check_names(file: str, names: tuple[str, ...]) -> None:
    if len(names) > MOST_QUESTIONS:
        raise BadFile(
            _("{file}, line 1: {number} questions. {most} at most.", file=file, number=len(names), most=MOST_QUESTIONS)
        )
    for column, name in enumerate(names):
        where = _("{file}, line 1, column {column}", file=file, column=column + 1)
        if not name:
            raise BadFile(_("{where}: the question has no name. Begin with a row of question names.", where=where))
        if name in names[:column]:
            raise BadFile(
                _(
                    "{where}: “{name}” is also the name of column {column}. Give each its own.",
                    where=where,
                    name=name,
                    column=names.index(name) + 1,
                )
            )
    if all(name in CELLS for name in names):
        raise BadFile(_("{file}, line 1: a row of answers. Begin with a row of question names.", file=file))
