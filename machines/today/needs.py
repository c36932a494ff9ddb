"""What else waits for a teacher in the class of the hour: reports, locked names, missed quizzes, endings, prints."""

from dataclasses import dataclass
from datetime import datetime

from machines.clearance.facts import Ending
from machines.floor.queries import left_undone
from machines.floor.showing.hour_card import HourCard, left_open
from machines.holds.queries import liftable_holds
from machines.incidents.queries import OpenIncidents, open_incidents
from machines.models import HazardReport, Hold, Machine
from machines.prints.queries import PostedPrint, hanging_in
from machines.prints.sheets.wall import shop_snapshot
from machines.register.attention import lapses_soon
from machines.reports.hazards.queries import open_reports
from machines.reports.inspections.queries import MachineInspection, due_inspections
from machines.setting_up.queries.first_run import unread_in_shops
from machines.today.hour import Hour
from quizzes.banks.corrections.queries import waiting_corrections
from quizzes.models import StarterCorrection
from quizzes.relearning.queries import WaitingStudent, waiting_for
from shopsafe.school.models import Person
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.signing_in.queries import LockedName, Wave, locked_names, name_locks, waves_of


@dataclass(frozen=True)
class EndingLine:
    """One machine, and the students whose clearance on it ends within fourteen days, the first to end first."""

    machine: Machine
    endings: tuple[tuple[Person, Ending], ...]


@dataclass(frozen=True)
class Needs:
    hour: Hour
    incidents: OpenIncidents  # reports to finish, and what is still to change
    missed: list[WaitingStudent]
    undone: list[tuple[str, str]]  # lines of the closing list that were not done, and what is left to do
    reports: list[HazardReport]  # those that no teacher of the shops has looked at
    inspections: list[MachineInspection]  # due or overdue in the teacher's shops
    locked: list[LockedName]
    waves: list[Wave]
    ending: list[EndingLine]
    prints: list[PostedPrint]  # posted prints that say something that is no longer true
    practice: int  # question banks that no teacher has approved yet
    corrections: list[StarterCorrection]

    @property
    def ending_count(self) -> int:
        return sum(len(line.endings) for line in self.ending)

    def __bool__(self) -> bool:
        lists = (
            self.incidents,
            self.undone,
            self.reports,
            self.inspections,
            self.missed,
            self.locked,
            self.ending,
            self.prints,
            self.practice,
            self.corrections,
        )
        return any(lists)


def needs_of(teacher: Person, hour: Hour, at: datetime) -> Needs:
    in_class = {student.pk for student in hour.students}
    locks = name_locks(hour.students, at)
    return Needs(
        hour=hour,
        incidents=open_incidents(teacher, at),
        undone=left_undone(hour.section.shop_id),
        reports=open_reports(teacher, at),
        inspections=due_inspections(teacher, at),
        missed=[waiting for waiting in waiting_for(teacher, at) if waiting.student.pk in in_class],
        locked=locked_names(hour.students, locks),
        waves=waves_of(locks),
        ending=_ending(hour, at),
        prints=[posted for posted in hanging_in(shop_snapshot(hour.section.shop, at)) if posted.changes],
        practice=unread_in_shops(teacher, at),
        corrections=waiting_corrections(teacher),
    )


def _ending(hour: Hour, at: datetime) -> list[EndingLine]:
    lines = []
    for machine in hour.machines:
        endings = [
            (student, ending)
            for student in hour.students
            if lapses_soon(answer := hour.answers[student.pk][machine.pk], at) and (ending := answer.ending)
        ]
        if endings:
            lines.append(EndingLine(machine, tuple(sorted(endings, key=lambda pair: pair[1].at))))
    return lines


@dataclass(frozen=True)
class OfficeNeeds:
    holds: list[Hold]  # those about which the office decides
    names: dict[int, str]  # student → full name, distinguished among these
    left_open: list[HourCard]  # shops that no one closed
    incidents: OpenIncidents
    reports: list[HazardReport]  # those that no teacher has looked at

    def __bool__(self) -> bool:
        return any((self.holds, self.left_open, self.incidents, self.reports))


def office_needs_of(office: Person, at: datetime) -> OfficeNeeds:
    waiting = liftable_holds(office).filter(lifted_at=None, placed_at__lte=at).order_by("placed_at", "pk")
    holds = list(waiting.select_related("student"))
    return OfficeNeeds(
        holds=holds,
        names=full_names_of(hold.student for hold in holds),
        left_open=left_open(office),
        incidents=open_incidents(office, at),
        reports=open_reports(office, at),
    )
