"""Looks at a bank file that was sent, before any of it is stored: what it holds, line by line, and what is wrong."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from quizzes.banks.files.rules.toml_file import read_bank, table_lines
from quizzes.banks.files.rules.zip_file import UploadedFile, read_sent
from quizzes.banks.pictures.files import NoPicture, picture_names, sent_picture
from quizzes.banks.rules.changes import says
from quizzes.banks.rules.fields import BankFileError, Problem
from quizzes.facts import BankPicture, BankText, Spot
from shopsafe.language.messages import _, marked

MISSING = marked("It is not in the file. Put it into pictures/ in the zip.")
Lines = Mapping[tuple[str, int], int]


@dataclass(frozen=True)
class FileItem:
    """One rule, question or value of the file, and the line on which it begins."""

    line: int
    what: str
    code: str
    says: str


@dataclass(frozen=True)
class ImportPreview:
    """`bank` is None where there are problems: nothing is taken over then."""

    bank: BankText | None
    problems: tuple[Problem, ...] = ()
    lines: tuple[FileItem, ...] = ()
    pictures: Mapping[str, BankPicture] = field(default_factory=dict)  # facts, by the name in `bank`
    contents: Mapping[str, bytes] = field(default_factory=dict)  # digest → bytes
    idle: tuple[str, ...] = ()  # pictures in the zip that nothing shows


def look(content: bytes, here: Mapping[str, BankPicture]) -> ImportPreview:
    """`here`: the pictures that the bank of this code has already, by name; a file may leave them out."""
    try:
        sent = read_sent(content)
        bank = read_bank(sent.text)
    except BankFileError as error:
        return ImportPreview(None, error.problems)
    lines = table_lines(sent.text)
    return _with_pictures(bank, sent, here, lines)


def code_of(content: bytes) -> str:
    """The code of the bank in the file; empty where it can't be read."""
    try:
        return read_bank(read_sent(content).text).code
    except BankFileError:
        return ""


def _with_pictures(bank: BankText, sent: UploadedFile, here: Mapping[str, BankPicture], lines: Lines) -> ImportPreview:
    problems: list[Problem] = []
    names: dict[str, str] = {}
    pictures: dict[str, BankPicture] = {}
    contents: dict[str, bytes] = {}
    for name in picture_names(bank):
        where = _first_line(bank, name, lines)
        if name in sent.pictures:
            try:
                names[name], facts, kept = sent_picture(name, sent.pictures[name])
            except NoPicture as error:
                problems.append(Problem(where, _("picture {picture}", picture=name), str(error)))
                continue
            pictures[names[name]], contents[facts.digest] = facts, kept
        elif name in here:
            names[name], pictures[name] = name, here[name]
        else:
            problems.append(Problem(where, _("picture {picture}", picture=name), _(MISSING)))
    problems += () if problems else _outside(bank, {name: pictures[own] for name, own in names.items()}, lines)
    if problems:
        return ImportPreview(None, tuple(problems))
    idle = tuple(sorted(set(sent.pictures) - set(names)))
    return ImportPreview(_renamed(bank, names), (), tuple(_lines(bank, lines)), pictures, contents, idle)


def _first_line(bank: BankText, name: str, lines: Lines) -> int:
    """The line of the first rule or question that shows the picture."""
    rules = [lines.get(("rule", n), 0) for n, rule in enumerate(bank.rules) if rule.picture == name]
    questions = [
        lines.get(("question", n), 0)
        for n, question in enumerate(bank.questions)
        if isinstance(question, Spot) and question.picture == name
    ]
    return [*rules, *questions][0]


def _outside(bank: BankText, pictures: Mapping[str, BankPicture], lines: Lines) -> Iterator[Problem]:
    """Places that lie outside their picture, as where someone counted the pixels of a photo."""
    for number, question in enumerate(bank.questions):
        if isinstance(question, Spot):
            width, height = pictures[question.picture].width, pictures[question.picture].height
            if any(x > width or y > height for place in question.places for x, y in place.points):
                sentence = _(
                    "A corner lies outside the picture, which is {width} across and {height} down. Fix it.",
                    width=width,
                    height=height,
                )
                yield Problem(
                    lines.get(("question", number), 0), _("question {question}", question=question.code), sentence
                )


def _renamed(bank: BankText, names: Mapping[str, str]) -> BankText:
    """The bank with the names under which its pictures are kept: one that was drawn again has another name."""
    rules = tuple(replace(rule, picture=names.get(rule.picture, "")) for rule in bank.rules)
    questions = tuple(
        replace(question, picture=names[question.picture]) if isinstance(question, Spot) else question
        for question in bank.questions
    )
    return replace(bank, rules=rules, questions=questions)


def _lines(bank: BankText, lines: Lines) -> Iterator[FileItem]:
    tables: tuple[tuple[str, str, tuple[Any, ...]], ...] = (
        ("value", _("number to know"), bank.values),
        ("rule", _("rule"), bank.rules),
        ("question", _("question"), bank.questions),
    )
    for table, what, items in tables:
        for number, item in enumerate(items):
            yield FileItem(lines.get((table, number), 0), what, item.code, says(item))
