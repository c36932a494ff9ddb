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
    out          what keeps its machine out of use, if the card says so: a tag-out by its key, or a report ("report 7")
    """

    cleared: frozenset[tuple[int, int]]
    words: str
    valid_until: date | None
    out: int | str | None

    def as_data(self) -> dict[str, Any]:
        """As it is stored: plain JSON."""
        until = self.valid_until.isoformat() if self.valid_until else None
        return {"cleared": sorted(map(list, self.cleared)), "words": self.words, "until": until, "out": self.out}


def from_data(data: Mapping[str, Any]) -> SheetContents:
    """What `as_data` gave."""
    until = date.fromisoformat(data["until"]) if data["until"] else None
    return SheetContents(
        frozenset((student, machine) for student, machine in data["cleared"]), data["words"], until, data["out"]
    )


@dataclass(frozen=True, slots=True)
class ReprintReason:
    """One reason to print a sheet again.

    code     "gone" (on the sheet, no longer cleared), "new" (cleared, not on the sheet), "out" (the machine is tagged
             out), "off" (it is kept off), "back" (it is in service again), "over" (its day has passed), "words"
             (something else it says)
    student  whom it is about, for "gone" and "new"
    """

    code: str
    student: int | None = None
    machine: int | None = None

    @property
    def grave(self) -> bool:
        """The sheet lets someone through who may not: take it down at once."""
        return self.code in ("gone", "out", "off", "over")


def reprint_reasons(printed: SheetContents, now: SheetContents, today: date) -> tuple[ReprintReason, ...]:
    """Why `printed` should be printed again, the gravest first; nothing if it is still right."""
    if printed.out != now.out:
        return (ReprintReason("back" if not now.out else "off" if isinstance(now.out, str) else "out"),)
    if now.out:
        return ()
    reasons = [
        *_cells("gone", printed.cleared - now.cleared),
        *([ReprintReason("over")] if printed.valid_until and printed.valid_until < today else []),
        *_cells("new", now.cleared - printed.cleared),
    ]
    if not reasons and printed.words != now.words:
        reasons = [ReprintReason("words")]
    return tuple(reasons)


def _cells(code: str, cells: Iterable[tuple[int, int]]) -> list[ReprintReason]:
    return [ReprintReason(code, student, machine) for student, machine in sorted(cells)]
