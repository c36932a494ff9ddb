"""Whether a sheet on a wall still says what is true: what it showed, held against what holds now. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
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


@dataclass(frozen=True, slots=True)
class ReprintReason:
    """One reason to print a sheet again.

    code     "gone" (on the sheet, no longer cleared), "new" (cleared, not on the sheet), "out" (the machine is tagged
             out), "off" (it is kept off), "barred" (a machine among others is out of use), "back" (it is in service
             again), "over" (its day has passed), "words" (something else it says)
    student  whom it is about, for "gone" and "new"
    """

    code: str
    student: int | None = None
    machine: int | None = None

    @property
    def grave(self) -> bool:
        """The sheet lets someone through who may not: take it down at once."""
        return self.code in ("gone", "out", "off", "barred", "over")


def reprint_reasons(printed: SheetContents, now: SheetContents, today: date) -> tuple[ReprintReason, ...]:
    """Why `printed` should be printed again, the gravest first; nothing if it is still right."""
    if printed.out_of_use != now.out_of_use:
        return (ReprintReason("back" if not now.out_of_use else "off" if isinstance(now.out_of_use, str) else "out"),)
    if now.out_of_use:
        return ()
    stated = printed.cleared - printed.ended(today)
    gone = {cell for cell in stated - now.cleared if cell[1] not in now.barred}
    new = {cell for cell in now.cleared - stated if cell[1] not in printed.barred}
    reasons = [
        *(ReprintReason("barred", machine=machine) for machine in sorted(now.barred - printed.barred)),
        *_cells("gone", gone),
        *([ReprintReason("over")] if printed.valid_until and printed.valid_until < today else []),
        *_cells("new", new),
        *(ReprintReason("back", machine=machine) for machine in sorted(printed.barred - now.barred)),
    ]
    lasting = {dated for dated in printed.days if dated[2] >= today}
    if not reasons and (printed.words != now.words or lasting != now.days):
        reasons = [ReprintReason("words")]
    return tuple(reasons)


def _cells(code: str, cells: Iterable[tuple[int, int]]) -> list[ReprintReason]:
    return [ReprintReason(code, student, machine) for student, machine in sorted(cells)]
