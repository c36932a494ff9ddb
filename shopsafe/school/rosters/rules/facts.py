"""What a roster is made of: rows as they were read, people already known, corrections, and the preview."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from enum import StrEnum
from typing import Any, Literal

from shopsafe.language.messages import _, counted
from shopsafe.school.refusals import Refused

# What a column holds. name: whole, or "Last, First". note and class are shown, not kept. ignored: not read at all.
type ColumnRole = Literal["name", "given", "family", "id", "class", "note", "ignored"]


class RowList(StrEnum):
    """The list of the preview in which a row stands."""

    READY = "ready"
    ALREADY_HERE = "already_here"
    TO_FIX = "to_fix"
    SKIPPED = "skipped"


class NotARoster(Refused):
    """The file cannot be read as a class list. `sentence` names the file, the reason and what to do.

    `remedy` may be a constant, and so may `file` where the list was pasted: both are looked up here.
    """

    def __init__(self, code: str, file: str, reason: str, remedy: str) -> None:
        super().__init__(f"roster.{code}", f"{_(file)}: {reason} {_(remedy)}", 422)


@dataclass(frozen=True, slots=True)
class RosterRow:
    """One row that holds something. `number` counts rows as a spreadsheet shows them, from 1."""

    number: int
    cells: tuple[str, ...]

    def cell(self, place: int) -> str:
        return self.cells[place] if place < len(self.cells) else ""


@dataclass(frozen=True, slots=True)
class RosterTable:
    """The rows of one file, before anyone has asked what they mean."""

    file: str
    kind: str  # "text" or "workbook"
    encoding: str
    separator: str  # "," ";" "|" tab, or "" where there is one column
    rows: tuple[RosterRow, ...]
    blank: int
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its place from 1, its heading ("" when it has none), and what it is read as."""

    place: int
    heading: str
    read_as: ColumnRole


@dataclass(frozen=True, slots=True)
class Layout:
    """What the columns mean and which rows are people. `question` is set while the columns are unclear."""

    columns: tuple[Column, ...]
    header: RosterRow | None
    people: tuple[RosterRow, ...]
    notes: tuple[str, ...]
    question: str = ""

    def place(self, role: ColumnRole) -> int | None:
        return next((column.place - 1 for column in self.columns if column.read_as == role), None)


@dataclass(frozen=True, slots=True)
class ExistingPerson:
    """A person the school has already. `here` says that they are in the class being filled.

    `in_reach` is False for a student in none of the classes of the teacher who looks: nothing names that student.
    """

    pk: int
    name: str
    local_id: str = ""
    here: bool = False
    student: bool = True
    in_reach: bool = True


@dataclass(frozen=True, slots=True)
class RowCorrection:
    """A teacher's correction of one row. What is None stays as it was read."""

    name: str | None = None
    local_id: str | None = None
    skip: bool = False
    accept: bool = False  # taken as it is: odd to look at, without a number, or named like someone else


@dataclass(frozen=True, slots=True)
class ParsedStudent:
    """One person as read. `written` is the name as it is in the file, "Last, First" or whole."""

    name: str = ""
    given: str = ""
    family: str = ""
    id: str = ""
    written: str = ""


@dataclass(frozen=True, slots=True)
class PreviewRow:
    """One row of the preview. `person` is set where the row is a student whom the school has already.

    twice       the row is ready or here already a row further up
    may_accept  to fix, and ready once a teacher takes it as it is
    other       the student of the school who has the row's number under another name
    """

    row: int
    where: RowList
    read: ParsedStudent
    notes: tuple[str, ...] = ()
    reason: str = ""
    person: int | None = None
    twice: bool = False
    may_accept: bool = False
    other: ExistingPerson | None = None


@dataclass(frozen=True, slots=True)
class RosterPreview:
    """Every row of people in exactly one list. Counts are counted from the lists, so they add up."""

    file: str
    reading: Mapping[str, Any]
    blank: int
    entries: tuple[PreviewRow, ...] = field(default=())

    def listed(self, where: RowList) -> tuple[PreviewRow, ...]:
        return tuple(entry for entry in self.entries if entry.where == where)

    @property
    def ready(self) -> tuple[PreviewRow, ...]:
        return self.listed(RowList.READY)

    @property
    def already_here(self) -> tuple[PreviewRow, ...]:
        return self.listed(RowList.ALREADY_HERE)

    @property
    def to_fix(self) -> tuple[PreviewRow, ...]:
        return self.listed(RowList.TO_FIX)

    @property
    def skipped(self) -> tuple[PreviewRow, ...]:
        return self.listed(RowList.SKIPPED)

    @property
    def counts(self) -> dict[str, int]:
        lists = {where.value: len(self.listed(where)) for where in RowList}
        return {"rows": len(self.entries), **lists, "blank": self.blank}

    @property
    def sentence(self) -> str:
        """ "30 rows: 26 ready, 1 already here, 2 to fix, 1 twice in this list": the counts in one line."""
        count = self.counts
        twice = sum(entry.twice for entry in self.entries)
        parts = [
            _("{number} ready", number=count[RowList.READY]),
            _("{number} already here", number=count[RowList.ALREADY_HERE] - twice),
            _("{number} to fix", number=count[RowList.TO_FIX]),
        ]
        if twice:
            parts.append(_("{number} twice in this list", number=twice))
        if count[RowList.SKIPPED]:
            parts.append(_("{number} skipped", number=count[RowList.SKIPPED]))
        return counted("{count} row: {parts}", "{count} rows: {parts}", count=count["rows"], parts=", ".join(parts))

    def as_dict(self) -> dict[str, Any]:
        """The preview as plain values, for JSON."""
        lists = {where.value: [_entry_as_dict(entry) for entry in self.listed(where)] for where in RowList}
        return {
            "file": self.file,
            "says": self.sentence,
            "counts": self.counts,
            "reading": dict(self.reading),
            **lists,
        }


def _entry_as_dict(entry: PreviewRow) -> dict[str, Any]:
    data: dict[str, Any] = {"row": entry.row, "read": asdict(entry.read), "notes": list(entry.notes)}
    if entry.reason:
        data["reason"] = entry.reason
    return data
