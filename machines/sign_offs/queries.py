"""One machine as a teacher stands before it: who is ready for a sign-off, who may use it, what was done there."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import QuerySet

from machines.clearance.facts import ClearanceResult, Standing
from machines.clearance.loading import SchoolRequirements, asks_at
from machines.clearance.out_of_use import OutOfUse
from machines.clearance.queries import judged
from machines.clearance.records import (
    machines_for,
    sign_offs_for,
    tag_outs_for,
    undoable,
)
from machines.clearance.rules.evaluation import may_be_signed_off
from machines.models import Machine, NotYet, SignOff, TagOut
from machines.models.records import UNDO_FOR
from shopsafe.school.access import students_for
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.naming.rules.ordering import by_shown_name, people_in_order
from shopsafe.school.people.classes import enrolled, running_sections

LATEST = 12


@dataclass(frozen=True)
class AtMachine:
    """`ready` holds those who may be signed off, and those just signed off by the asker: lists never shrink under a
    finger. `cleared` are those who may use it, in reading order."""

    machine: Machine
    sections: list[Section]
    section: Section | None
    ready: list[Person]
    cleared: list[Person]
    just_signed: dict[int, SignOff]  # student → sign-off that can still be undone
    out: OutOfUse | None
    held: list[Person]  # on hold here
    answers: dict[int, ClearanceResult]  # student → what is so for them here
    called: dict[int, str]  # short names, told apart for staff: a classmate's number is none of a student's business
    full: dict[int, str]
    siblings: list[Machine] = field(default_factory=list)  # machines of its kind in its shop, itself among them
    tries: dict[int, NotYet] = field(default_factory=dict)  # student → the last try, where it was not complete

    @property
    def ready_by_name(self) -> list[Person]:
        """In the order of the names as they are shown."""
        return by_shown_name(self.ready, self.called)


def at_machine(person: Person, machine: Machine, at: datetime, section: int | None = None) -> AtMachine:
    """What is so at a machine for the running classes in the asker's sight, or for one of them."""
    day = local_day(at, machine.school.time_zone)
    sections = [running for running in running_sections(person, day) if running.shop_id == machine.shop_id]
    chosen = next((running for running in sections if running.pk == section), None)
    in_class = enrolled(sections, at)
    everybody = {student for people in in_class.values() for student in people}
    listed = in_class[chosen.pk] if chosen else everybody
    students = people_in_order(listed)
    asks = asks_at(machine.school_id, at)
    clearances = judged(students, [machine], machine.school, asks, at)
    column = clearances.column(machine) if clearances.machines else []  # a machine that has left the shop
    ready = [student for student, answer in column if may_be_signed_off(answer)]
    signed = {sign_off.student_id: sign_off for sign_off in undoable(person, machine, at)} if person.is_teacher else {}
    return AtMachine(
        machine=machine,
        sections=sections,
        section=chosen,
        ready=[student for student, answer in column if may_be_signed_off(answer) or student.pk in signed],
        cleared=[student for student, answer in column if answer.cleared],
        just_signed=signed,
        out=asks.out_of_use([machine.pk]).get(machine.pk),
        held=[student for student, answer in column if answer.standing is Standing.ON_HOLD],
        answers={student.pk: answer for student, answer in column},
        called={student.pk: student.short_name for student in everybody}
        if person.is_student
        else short_names_of(everybody),
        full=full_names_of(everybody),
        siblings=siblings_of(machine, asks) if person.is_teacher else [],
        tries=last_tries([student.pk for student in ready], machine, at) if person.is_teacher else {},
    )


def siblings_of(machine: Machine, asks: SchoolRequirements) -> list[Machine]:
    """The machines of the same kind and name in its shop, by number."""
    like = (machine.shop_id, machine.kind_id, machine.name)
    return [other for other in asks.machines.values() if (other.shop_id, other.kind_id, other.name) == like]


def last_tries(students: Collection[int], machine: Machine, at: datetime) -> dict[int, NotYet]:
    """Student → the latest try at this kind of machine that was not complete, where no sign-off came after it. Two
    queries."""
    tries = NotYet.objects.filter(student__in=students, kind=machine.kind_id, at__lte=at, undone_at=None)
    latest = {row.student_id: row for row in tries.select_related("by").order_by("at", "pk")}
    if not latest:
        return {}
    signed = SignOff.objects.filter(student__in=latest, kind=machine.kind_id, undone_at=None, withdrawn_at=None)
    for student, signed_at in signed.values_list("student", "at"):
        if student in latest and signed_at > latest[student].at:
            del latest[student]
    return latest


def undoable_tries(by: Person, machine: Machine, at: datetime) -> list[NotYet]:
    """The teacher's own tries without a sign-off at this machine that can still be undone, the latest first."""
    rows = NotYet.objects.filter(by=by, machine=machine, at__gt=at - UNDO_FOR, at__lte=at, undone_at=None)
    return list(rows.select_related("student").order_by("-at", "-pk"))


def points_of(machine: Machine, last: NotYet | None) -> list[tuple[int, str, str]]:
    """The points of the demonstration as (number, words, what is known of the last try): those to be shown again
    first, then those nobody got to, then the rest."""
    again, open_points = (set(last.again), set(last.not_shown)) if last else (set[str](), set[str]())
    rows = [
        (number, point, "again" if point in again else "not shown" if point in open_points else "")
        for number, point in enumerate(machine.kind.demonstration, 1)
    ]
    order = {"again": 0, "not shown": 1, "": 2}
    return sorted(rows, key=lambda row: order[row[2]]) if last else rows


def not_yet_for(person: Person) -> QuerySet[NotYet]:
    """The tries without a sign-off of the students and at the machines in a person's reach."""
    rows = NotYet.objects.filter(student__in=students_for(person), machine__in=machines_for(person))
    return rows.select_related("student", "by", "machine__kind", "machine__shop", "machine__school")


def history_of(person: Person, machine: Machine) -> tuple[list[SignOff], list[TagOut]]:
    """The latest sign-offs and tag-outs at a machine in the asker's sight, the latest first."""
    signed = sign_offs_for(person).filter(machine=machine).order_by("-at", "-pk")
    outs = tag_outs_for(person).filter(machine=machine).order_by("-at", "-pk")
    return list(signed[:LATEST]), list(outs[:LATEST])
