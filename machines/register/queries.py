"""The register: one class down, the machines of its shop across, at any moment; and who stands out in it."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from hashlib import sha256
from typing import assert_never

from machines.clearance.facts import Standing, StatusOnly
from machines.clearance.loading import asks_at
from machines.clearance.out_of_use import OutOfUse
from machines.clearance.queries import Matrix, briefs_by_asks
from machines.models import Machine
from machines.register.attention import lapses_soon
from machines.register.files import FIRST_COLUMNS
from shopsafe.language.messages import _, marked
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.people.queries import leaving


class Narrowing(StrEnum):
    """What a register can be narrowed to, as the address says it."""

    READY = "ready"
    HELD = "held"
    LAPSING = "lapsing"


NARROWINGS = {
    Narrowing.READY: marked("Ready for sign-off"),
    Narrowing.HELD: marked("On hold"),
    Narrowing.LAPSING: marked("Expiring in 14 days"),
}

# A longer list than this does not fit under its heads on a laptop's screen, 1366 × 768, when every cell is a target
# of 24 × 24 pixels (WCAG 2.2, 2.5.8). It is folded in two, side by side, as long as the columns leave room for that.
FOLDS_ABOVE = 20
FOLDS_UP_TO = 18  # machines
FEW = 12  # rows that may be tall


@dataclass(frozen=True)
class RegisterCell:
    machine: Machine
    answer: StatusOnly
    stands_out: bool  # among what the register is narrowed to


@dataclass(frozen=True)
class RegisterRow:
    student: Person
    name: str  # distinguished from the others of the class
    cells: list[RegisterCell]


@dataclass(frozen=True)
class Register:
    section: Section
    matrix: Matrix[StatusOnly]
    rows: list[RegisterRow]
    out_of_use: dict[int, OutOfUse]
    counts: dict[Narrowing, int]  # → students
    leaving: list[str]  # who is on it for the last day

    @property
    def digest(self) -> str:
        """Of everything the table says: a page that holds the same one needs no other."""
        row_values = [
            (row.student.pk, row.name, [(c.answer.standing.value, c.stands_out) for c in row.cells])
            for row in self.rows
        ]
        heads = [(machine.pk, str(machine), off.label if off else "") for machine, off in self.heads]
        return sha256(repr((row_values, heads, self.counts, self.leaving)).encode()).hexdigest()[:16]

    @property
    def halves(self) -> list[list[RegisterRow]]:
        """The rows as they are beside each other: the whole list, or a long one folded in two."""
        if len(self.rows) <= FOLDS_ABOVE or len(self.heads) > FOLDS_UP_TO:
            return [self.rows]
        half = (len(self.rows) + 1) // 2
        return [self.rows[:half], self.rows[half:]]

    @property
    def density(self) -> str:
        """How close the rows and columns stand, by how many there are: a class of the table's frame."""
        if len(self.halves) > 1:
            return "folded tight"
        return ("few " if len(self.rows) <= FEW else "") + ("tight" if len(self.heads) > FOLDS_UP_TO else "")

    def as_rows(self) -> list[list[str]]:
        """For a spreadsheet: the head, then one row a student."""
        machines = [off.head(machine) if off else str(machine) for machine, off in self.heads]
        head = [*map(_, FIRST_COLUMNS), *machines]
        words = {standing: standing.words for standing in Standing}  # once each, not once a cell
        body = [[r.student.name, r.student.local_id, *(words[c.answer.standing] for c in r.cells)] for r in self.rows]
        return [head, *body]

    @property
    def heads(self) -> list[tuple[Machine, OutOfUse | None]]:
        return [(machine, self.out_of_use.get(machine.pk)) for machine in self.matrix.machines]


def register_of(section: Section, at: datetime, show: Narrowing | None = None) -> Register:
    """Everyone, or those whom `show` picks."""
    asks = asks_at(section.school_id, at)
    briefs = briefs_by_asks(section, asks, at)
    names = full_names_of(briefs.students)
    rows = [
        RegisterRow(
            student,
            names[student.pk],
            [RegisterCell(machine, answer, show is not None and _is(show, answer, at)) for machine, answer in row],
        )
        for student, row in briefs.rows
    ]
    counts = {
        word: sum(any(_is(word, answer, at) for _, answer in row) for _, row in briefs.rows) for word in NARROWINGS
    }
    narrowed = [row for row in rows if any(cell.stands_out for cell in row.cells)] if show else rows
    leaving_today = [person.name for person in leaving(section, day=local_day(at, section.school.time_zone))]
    off = asks.out_of_use([machine.pk for machine in briefs.machines])
    return Register(section, briefs, narrowed, off, counts, leaving_today)


def _is(show: Narrowing, answer: StatusOnly, at: datetime) -> bool:
    match show:
        case Narrowing.READY:
            return answer.due
        case Narrowing.HELD:
            return answer.standing is Standing.ON_HOLD
        case Narrowing.LAPSING:
            return lapses_soon(answer, at)
    assert_never(show)
