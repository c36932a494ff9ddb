"""Bank files: one subject as TOML, read and written. What can't be read is named by line, with what to do about it."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from quizzes.banks.files.rules import toml_writer
from quizzes.banks.files.rules.toml_limits import against_shape
from quizzes.banks.rules.data import from_data, to_data
from quizzes.banks.rules.fields import MOST_PROBLEMS, BankFileError, Problem
from quizzes.facts import BankText
from shopsafe.language.messages import _
from shopsafe.school.naming.rules.characters import unprintable

__all__ = ["BankFileError", "Problem", "read_bank", "table_lines", "write_bank"]

HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z0-9_-]+)\s*\]?\]")
LARGEST = 1024 * 1024  # bytes; a bank of 400 questions is about 200 kB


def read_bank(text: str) -> BankText:
    """The bank in a TOML file's text. Raises BankFileError."""
    if len(text.encode()) > LARGEST:
        raise BankFileError((Problem(0, _("the file"), _("It is larger than 1 MB. Split the bank by subject.")),))
    if problem := against_shape(text):
        raise BankFileError((problem,))
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BankFileError((_syntax(error),)) from error
    except RecursionError as error:
        raise BankFileError(
            (Problem(0, _("the file"), _("It is nested too deeply. Write lists side by side.")),)
        ) from error
    except (ValueError, OverflowError) as error:  # a number or a date that Python can't hold
        raise BankFileError(
            (Problem(0, _("the file"), _("It has a number or a date that is out of range.")),)
        ) from error
    lines = table_lines(text)
    if problems := tuple(_unprintable(data, lines)):
        raise BankFileError(problems[:MOST_PROBLEMS])
    return from_data(data, lines)


def _unprintable(data: Mapping[str, Any], lines: Mapping[tuple[str, int], int]) -> Iterator[Problem]:
    """The texts that hold a character no screen or print can show, such as one written as an escape."""
    for table, item in data.items():
        for number, row in enumerate(item if isinstance(item, list) else [item]):
            if character := next(filter(None, map(unprintable, _texts(row))), ""):
                where = (
                    _("{table} number {number}", table=table, number=number + 1) if isinstance(item, list) else table
                )
                sentence = _(
                    "It holds the character {character}, which can't be shown. Take it out.", character=character
                )
                yield Problem(lines.get((table, number), 0), where[:80], sentence)


def _texts(item: Any) -> Iterator[str]:
    """Every text inside, names of entries included. A file is at most a dozen lists and tables deep."""
    if isinstance(item, str):
        yield item
    elif isinstance(item, Mapping):
        for key, part in item.items():
            yield key
            yield from _texts(part)
    elif isinstance(item, list):
        for part in item:
            yield from _texts(part)


def write_bank(bank: BankText) -> str:
    """The bank as canonical TOML: reading it and writing it again gives the same bytes."""
    return toml_writer.dump(to_data(bank))


def _syntax(error: tomllib.TOMLDecodeError) -> Problem:
    reason = re.sub(r"\s*\(at .*\)", "", str(error))
    line_match = re.search(r"at line (\d+)", str(error))
    return Problem(
        int(line_match[1]) if line_match else 0,
        _("the file"),
        _("This is not TOML: {reason}. Fix this line.", reason=reason),
    )


def table_lines(text: str) -> dict[tuple[str, int], int]:
    """(table, its number from 0) → the line of its header. What looks like one inside a long text doesn't count."""
    lines: dict[tuple[str, int], int] = {}
    count: dict[str, int] = {}
    inside = ""
    for number, line in enumerate(text.splitlines(), 1):
        header = None if inside else HEADER.match(line)
        if header:
            name = header[1]
            lines[name, count.get(name, 0)] = number
            count[name] = count.get(name, 0) + 1
        for mark in re.findall(r'"""|\'\'\'', line):
            inside = "" if inside == mark else inside or mark
    return lines
