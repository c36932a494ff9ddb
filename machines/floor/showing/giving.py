"""Who can have a machine now, and who can't and why: for the foot bar of the floor and the helpers of a run."""

from dataclasses import dataclass
from datetime import datetime

from machines.clearance.loading import asks_at
from machines.clearance.queries import judged
from machines.floor.facts import WaitingEntry
from machines.floor.rows.away import away_of
from machines.floor.rules.waiting import waiting_order
from machines.floor.showing.page import FloorPage
from machines.floor.start_facts import busy_at
from machines.models import Machine, WaitingStudent
from shopsafe.language.messages import _
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person
from shopsafe.school.naming.name_labels import short_names_of
from shopsafe.school.naming.rules.names import sort_key
from shopsafe.school.naming.rules.ordering import by_shown_name
from shopsafe.school.people.classes import enrolled, running_sections, students_of


@dataclass(frozen=True)
class Candidate:
    """A student who can have the machine. `waits`: the place on the machine's list; `note`: waits for another one."""

    student: Person
    name: str
    waits: int = 0
    note: str = ""


@dataclass(frozen=True)
class Giving:
    """One machine about to be given: whom to choose from, who waits first; who is cleared but busy or away."""

    machine: Machine
    candidates: list[Candidate]
    busy: list[str]
    away: list[str]
    not_cleared: int


def giving(page: FloorPage, machine: Machine, at: datetime) -> Giving:
    """The students of the class for which the shop is open; without a class, those of every running class there."""
    students = students_in(page, at)
    answers = judged(students, [machine], page.shop.school, asks_at(page.shop.school_id, at), at).answers
    cleared = [student for student in students if answers[student.pk, machine.pk].cleared]
    names, busy = short_names_of(students), busy_at([student.pk for student in cleared], machine)
    users = {tile.run.student_id for tile in page.tiles if tile.run}
    rows = [row for tile in page.tiles for row in tile.waiting]
    entries = [WaitingEntry(row.student_id, row.machine_id, row.pk) for row in rows]
    place = {waits.student: number for number, waits in enumerate(waiting_order(entries, machine.pk), 1)}
    elsewhere = waits_elsewhere(page, machine)
    section = page.card.now.opening.section_id if page.card.now else None
    away = away_of((student.pk for student in cleared), section or 0, at, page.shop.school.time_zone)
    here = [student for student in cleared if student.pk not in away]
    free = [student for student in here if student.pk not in busy and student.pk not in users]
    ordered = sorted(by_shown_name(free, names), key=lambda student: place.get(student.pk, len(place) + 1))
    return Giving(
        machine,
        [
            Candidate(student, names[student.pk], place.get(student.pk, 0), elsewhere.get(student.pk, ""))
            for student in ordered
        ],
        sorted((names[student.pk] for student in here if student not in free), key=sort_key),
        sorted((names[pk] for pk in away), key=sort_key),
        len(students) - len(cleared),
    )


def students_in(page: FloorPage, at: datetime) -> list[Person]:
    section = page.card.now.opening.section if page.card.now else None
    if section is not None:
        return students_of(section, at)
    day = local_day(at, page.shop.school.time_zone)
    sections = [row for row in running_sections(page.card.reader, day) if row.shop_id == page.shop.pk]
    classes = enrolled(sections, at)
    return list({student.pk: student for people in classes.values() for student in people}.values())


def waits_elsewhere(page: FloorPage, machine: Machine) -> dict[int, str]:
    """Student → the other machine for which the student waits."""
    waits: dict[int, str] = {}
    for tile in page.tiles:
        if tile.machine.pk != machine.pk:
            row: WaitingStudent
            for row in tile.waiting:
                waits.setdefault(row.student_id, _("waits for {machine}", machine=tile.machine.spoken))
    return waits
