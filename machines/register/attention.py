"""What a teacher needs to know now: who is ready to show, who is held, what lapses, what is tagged out."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from machines.clearance.facts import ClearanceResult, Ending, StatusOnly
from machines.clearance.queries import Matrix, matrix
from machines.clearance.records import by_shop, holds_in_force, machines_for, tagged_out
from machines.clearance.rules.evaluation import may_be_signed_off
from machines.clearance.rules.next_steps import SOON
from machines.models import Hold, Machine, TagOut
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.people.classes import enrolled, running_sections
from shopsafe.school.signing_in.queries import LockedName, Wave, locked_names, name_locks, waves_of
from shopsafe.school.signing_in.rules.wrong_codes import NameLock


@dataclass(frozen=True)
class ReadyStudents:
    """One machine and the students who are ready to show it."""

    machine: Machine
    students: list[Person]


@dataclass(frozen=True)
class EndingClearance:
    """One student and what ends within fourteen days."""

    student: Person
    machine: Machine
    ending: Ending


@dataclass(frozen=True)
class TodayLists:
    sections: list[Section]
    locked: list[tuple[LockedName, Section]]  # after wrong codes, each with a class in which a teacher unlocks them
    waves: list[Wave]
    ready: list[ReadyStudents]
    held: list[Hold]
    lapsing: list[EndingClearance]
    out: list[TagOut]
    short: dict[int, str]  # student → the name told apart from the others'
    full: dict[int, str]

    @property
    def locked_classes(self) -> list[tuple[Section, int]]:
        """Each class with more than one locked student, and how many: they are unlocked together."""
        counts = Counter(section.pk for _, section in self.locked)
        return [(section, counts[section.pk]) for section in self.sections if counts[section.pk] > 1]

    @property
    def ready_count(self) -> int:
        return len({student.pk for group in self.ready for student in group.students})


def today_for(person: Person, at: datetime) -> TodayLists:
    """Everything about the running classes in a person's sight."""
    day = local_day(at, person.school.time_zone)
    sections = running_sections(person, day)
    in_class = enrolled(sections, at)
    students = {student.pk: student for section in sections for student in in_class[section.pk]}
    locks = name_locks(students.values(), at)
    machines = by_shop(machines_for(person).filter(added_at__lte=at).exclude(retired_at__lte=at))
    clearances = matrix(list(students.values()), machines, person.school, at)
    in_shop = {(student.pk, section.shop_id) for section in sections for student in in_class[section.pk]}
    tag_outs = tagged_out([machine.pk for machine in machines], at)
    return TodayLists(
        sections=sections,
        locked=_locked(sections, in_class, locks),
        waves=waves_of(locks),
        ready=[group for group in (_ready_at(clearances, machine, in_shop) for machine in machines) if group.students],
        held=list(holds_in_force(students.keys(), day, at)),
        lapsing=_lapsing(clearances, in_shop),
        out=[tag_outs[machine.pk] for machine in machines if machine.pk in tag_outs],
        short=short_names_of(students.values()),
        full=full_names_of(students.values()),
    )


def _locked(
    sections: list[Section], in_class: dict[int, list[Person]], locks: list[NameLock]
) -> list[tuple[LockedName, Section]]:
    """Each once, in reading order."""
    section_of = {student.pk: section for section in sections for student in in_class[section.pk]}
    students = {student.pk: student for section in sections for student in in_class[section.pk]}
    in_order = sorted(students.values(), key=lambda student: (student.sort_key, student.pk))
    return [(lock, section_of[lock.student.pk]) for lock in locked_names(in_order, locks)]


def _ready_at(clearances: Matrix[ClearanceResult], machine: Machine, in_shop: set[tuple[int, int]]) -> ReadyStudents:
    pairs = [pair for pair in clearances.column(machine) if (pair[0].pk, machine.shop_id) in in_shop]
    ready = [student for student, answer in pairs if may_be_signed_off(answer)]
    return ReadyStudents(machine, sorted(ready, key=lambda ready_student: (ready_student.sort_key, ready_student.pk)))


def lapses_soon(answer: ClearanceResult | StatusOnly, at: datetime) -> bool:
    """Cleared, and not for longer than fourteen days if nothing happens."""
    return answer.cleared and answer.ending is not None and answer.ending.at - at <= SOON


def _lapsing(clearances: Matrix[ClearanceResult], in_shop: set[tuple[int, int]]) -> list[EndingClearance]:
    soon = [
        EndingClearance(student, machine, answer.ending)
        for student, row in clearances.rows
        for machine, answer in row
        if (student.pk, machine.shop_id) in in_shop and answer.ending and lapses_soon(answer, clearances.at)
    ]
    return sorted(
        soon,
        key=lambda ending_clearance: (
            ending_clearance.ending.at,
            ending_clearance.student.sort_key,
            ending_clearance.machine.number,
        ),
    )
