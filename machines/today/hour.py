"""The class that a teacher has now: what must not run, whom to watch at which machine, and the other classes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate

from machines.clearance.class_machines import kinds_used, used_by
from machines.clearance.facts import StatusOnly
from machines.clearance.known_rows import records_at
from machines.clearance.loading import asks_at
from machines.clearance.out_of_use import OutOfUse
from machines.clearance.records import holds_in_force
from machines.clearance.rules.evaluation import briefs_by
from machines.models import Hold, Machine
from shopsafe.language.lists import listed
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import short_names_of
from shopsafe.school.naming.rules.ordering import by_shown_name
from shopsafe.school.people.classes import enrolled
from shopsafe.school.timetable.facts import Meeting

NAMES_IN_SIGHT = 4  # in a row of a machine type; the rest is one link further
ROWS_IN_SIGHT = 6  # machine types; with more, the page would not answer on one screen of 768 pixels
ALL_NAMES_IN_SIGHT = 12  # of all rows; with more, the page would be more than people read at a glance

type Answers = Mapping[int, Mapping[int, StatusOnly]]  # student → machine → answer


@dataclass(frozen=True)
class WatchRow:
    """One machine type with the machines of it that run, and the students who are ready for a sign-off on it.

    `picks` are (student, name, the machine to show); `more` is how many more there are.
    """

    machines: tuple[Machine, ...]
    picks: tuple[tuple[Person, str, Machine], ...]
    more: int = 0

    @property
    def name(self) -> str:
        return self.machines[0].name or self.machines[0].kind.name

    @property
    def numbers(self) -> str:
        return listed(machine.number for machine in self.machines)


@dataclass(frozen=True)
class OtherClass:
    section: Section
    to_watch: int  # students who are ready for a sign-off on a machine


@dataclass(frozen=True)
class Hour:
    """One class at one moment. `students` are in the order of `names`, which are distinguished within the class."""

    section: Section
    meeting: Meeting | None  # where the timetable opened the class
    students: list[Person]
    names: dict[int, str]
    machines: list[Machine]  # those that the class uses
    answers: Answers
    out_of_use: list[tuple[Machine, OutOfUse]]
    held: list[Hold]
    rows: list[WatchRow]
    others: list[OtherClass]

    @property
    def to_watch(self) -> int:
        off = {machine.pk for machine, _ in self.out_of_use}
        return _to_watch(self.students, [machine for machine in self.machines if machine.pk not in off], self.answers)

    @property
    def rows_in_sight(self) -> list[WatchRow]:
        """The first rows, as many as people read at a glance."""
        names = accumulate(len(row.picks) for row in self.rows[:ROWS_IN_SIGHT])
        return self.rows[: sum(so_far <= ALL_NAMES_IN_SIGHT for so_far in names)]

    @property
    def rows_folded(self) -> list[WatchRow]:
        return self.rows[len(self.rows_in_sight) :]


def hour_of(section: Section, sections: Sequence[Section], at: datetime, meeting: Meeting | None = None) -> Hour:
    """The hour of `section`, one of `sections`: the running classes in the teacher's sight. The number of queries
    grows with neither classes nor students nor machines."""
    in_class = enrolled(list(sections), at)
    everybody = {student.pk for students in in_class.values() for student in students}
    asks = asks_at(section.school_id, at)
    kinds = kinds_used(sections, at)
    machines = {running.pk: used_by(running, asks.machines.values(), kinds) for running in sections}
    requirements = list(asks.as_facts().values())
    known = records_at(everybody, section.school, asks, at)
    answers: Answers = {student: briefs_by(requirements, record) for student, record in known.items()}
    off = asks.out_of_use({machine.pk for of_class in machines.values() for machine in of_class})
    names = short_names_of(in_class[section.pk])
    students = by_shown_name(in_class[section.pk], names)
    held = [student.pk for student in students if known[student.pk].holds]
    day = local_day(at, section.school.time_zone)
    return Hour(
        section=section,
        meeting=meeting,
        students=students,
        names=names,
        machines=machines[section.pk],
        answers=answers,
        out_of_use=[(machine, off[machine.pk]) for machine in machines[section.pk] if machine.pk in off],
        held=list(holds_in_force(held, day, at)) if held else [],
        rows=_rows([m for m in machines[section.pk] if m.pk not in off], students, names, answers),
        others=[
            OtherClass(
                other, _to_watch(in_class[other.pk], [m for m in machines[other.pk] if m.pk not in off], answers)
            )
            for other in sections
            if other != section
        ],
    )


def _rows(
    machines: Sequence[Machine], students: Sequence[Person], names: Mapping[int, str], answers: Answers
) -> list[WatchRow]:
    """A row a machine type with someone to watch, by the number of its first machine."""
    groups: dict[tuple[int, str], list[Machine]] = {}
    for machine in machines:
        groups.setdefault((machine.kind_id, machine.name), []).append(machine)
    rows = []
    for group in groups.values():
        picks = [
            (student, names[student.pk], first)
            for student in students
            if (first := next((m for m in group if answers[student.pk][m.pk].due), None)) is not None
        ]
        if picks:
            shown = len(picks) if len(picks) <= NAMES_IN_SIGHT else NAMES_IN_SIGHT - 1
            rows.append(WatchRow(tuple(group), tuple(picks[:shown]), len(picks) - shown))
    return rows


def _to_watch(students: Sequence[Person], machines: Sequence[Machine], answers: Answers) -> int:
    keys = [machine.pk for machine in machines]
    by_machine = [answers[student.pk] for student in students]
    return sum(any(of_student[key].due for key in keys) for of_student in by_machine)
