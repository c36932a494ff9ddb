"""Whether a sheet on a wall still says what is true: what it showed, held against what holds now. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any


@dataclass(frozen=True, slots=True)
class SheetContents:
    """What a sheet says that may go out of date.

    cleared      (student, machine) for every name on a card, every wheel on a chart
    words        digest of everything else on it: names as printed, rules, how to stop
    valid_until  the last day on which all of it holds if nothing happens; None if nothing ends by itself
    out_of_use   what keeps its machine out of use, if the card says so: a tag-out by its key, or a report ("report 7")
    days         of `cleared`, the cells that end before the sheet does, each with its last day
    barred       machines out of use, which the sheet names without any wheel
    """

    cleared: frozenset[tuple[int, int]]
    words: str
    valid_until: date | None
    out_of_use: int | str | None
    days: frozenset[tuple[int, int, date]] = frozenset()
    barred: frozenset[int] = frozenset()

    def as_data(self) -> dict[str, Any]:
        """As it is stored: plain JSON."""
        until = self.valid_until.isoformat() if self.valid_until else None
        data = {"cleared": sorted(map(list, self.cleared)), "words": self.words, "until": until, "out": self.out_of_use}
        days = sorted([student, machine, day.isoformat()] for student, machine, day in self.days)
        return data | ({"days": days} if days else {}) | ({"barred": sorted(self.barred)} if self.barred else {})

    def ended(self, today: date) -> set[tuple[int, int]]:
        """The cells whose own last day has passed: the sheet itself says that they count no longer."""
        return {(student, machine) for student, machine, day in self.days if day < today}


def from_data(data: Mapping[str, Any]) -> SheetContents:
    """What `as_data` gave."""
    until = date.fromisoformat(data["until"]) if data["until"] else None
    return SheetContents(
        frozenset((student, machine) for student, machine in data["cleared"]),
        data["words"],
        until,
        data["out"],
        frozenset((student, machine, date.fromisoformat(day)) for student, machine, day in data.get("days", ())),
        frozenset(data.get("barred", ())),
    )


class ReprintCode(StrEnum):
    """What is no longer as the sheet says."""

    GONE = "gone"  # on the sheet, no longer cleared
    NEW = "new"  # cleared, not on the sheet
    OUT = "out"  # the machine is tagged out
    OFF = "off"  # it is kept off
    BARRED = "barred"  # a machine among others is out of use
    BACK = "back"  # a machine is in service again
    OVER = "over"  # its last day has passed
    WORDS = "words"  # something else it says


LETS_THROUGH = frozenset({ReprintCode.GONE, ReprintCode.OUT, ReprintCode.OFF, ReprintCode.BARRED, ReprintCode.OVER})


@dataclass(frozen=True, slots=True)
class ReprintReason:
    """One reason to print a sheet again. `student`: whom it is about, where it is about one; `machine` likewise."""

    code: ReprintCode
    student: int | None = None
    machine: int | None = None

    @property
    def grave(self) -> bool:
        """The sheet lets someone through who may not: take it down at once."""
        return self.code in LETS_THROUGH


def reprint_reasons(printed: SheetContents, now: SheetContents, today: date) -> tuple[ReprintReason, ...]:
    """Why `printed` should be printed again, the gravest first; nothing if it is still right."""
    if printed.out_of_use != now.out_of_use:
        return (ReprintReason(_code_of(now.out_of_use)),)
    if now.out_of_use:
        return ()
    stated = printed.cleared - printed.ended(today)
    gone = {cell for cell in stated - now.cleared if cell[1] not in now.barred}
    new = {cell for cell in now.cleared - stated if cell[1] not in printed.barred}
    reasons = [
        *(ReprintReason(ReprintCode.BARRED, machine=machine) for machine in sorted(now.barred - printed.barred)),
        *_cells(ReprintCode.GONE, gone),
        *([ReprintReason(ReprintCode.OVER)] if printed.valid_until and printed.valid_until < today else []),
        *_cells(ReprintCode.NEW, new),
        *(ReprintReason(ReprintCode.BACK, machine=machine) for machine in sorted(printed.barred - now.barred)),
    ]
    lasting = {dated for dated in printed.days if dated[2] >= today}
    if not reasons and (printed.words != now.words or lasting != now.days):
        reasons = [ReprintReason(ReprintCode.WORDS)]
    return tuple(reasons)


def _code_of(out_of_use: int | str | None) -> ReprintCode:
    """What has changed where a machine was out of use in another way before."""
    if not out_of_use:
        return ReprintCode.BACK
    return ReprintCode.OFF if isinstance(out_of_use, str) else ReprintCode.OUT


def _cells(code: ReprintCode, cells: Iterable[tuple[int, int]]) -> list[ReprintReason]:
    return [ReprintReason(code, student, machine) for student, machine in sorted(cells)]
