"""One machine as a teacher stands before it: who is ready for a sign-off, who may use it, what was done there."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db.models import Q, QuerySet

from machines.clearance.facts import ClearanceResult, Standing
from machines.clearance.loading import SchoolRequirements, asks_at
from machines.clearance.out_of_use import OutOfUse
from machines.clearance.queries import judged
from machines.clearance.records import (
    machines_for,
    sign_offs_for,
    tag_outs_for,
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
    finger. `cleared` are those who may use it, in reading order. A student sees no one else, and no class."""

    machine: Machine
    asks: SchoolRequirements
    sections: list[Section]
    section: Section | None
    ready: list[Person]
    cleared: list[Person]
    just_signed: dict[int, SignOff]  # student → sign-off that can still be undone
    out_of_use: OutOfUse | None
    held: list[Person]  # on hold here
    answers: dict[int, ClearanceResult]  # student → what is so for them here
    called: dict[int, str]  # short names, distinguished for staff: a classmate's number is none of a student's business
    full: dict[int, str]
    siblings: list[Machine] = field(default_factory=list)  # machines of its kind in its shop, itself among them
    tries: dict[int, NotYet] = field(default_factory=dict)  # student → the last try, where it was not complete
    undoable_tries: list[NotYet] = field(default_factory=list)  # those of the asker's, the latest first
    history: list[SignOff] = field(default_factory=list)  # the latest sign-offs here, the latest first

    @property
    def ready_by_name(self) -> list[Person]:
        """In the order of the names as they are shown."""
        return by_shown_name(self.ready, self.called)


def at_machine(person: Person, machine: Machine, at: datetime, section: int | None = None) -> AtMachine:
    """What is so at a machine for the running classes in the asker's sight, or for one of them."""
    day = local_day(at, machine.school.time_zone)
    running_classes = [] if person.is_student else running_sections(person, day)
    sections = [running for running in running_classes if running.shop_id == machine.shop_id]
    chosen = next((running for running in sections if running.pk == section), None)
    in_class = enrolled(sections, at)
    everybody = {person} if person.is_student else {student for people in in_class.values() for student in people}
    listed = in_class[chosen.pk] if chosen else everybody
    students = people_in_order(listed)
    asks = asks_at(machine.school_id, at)
    clearances = judged(students, [machine], machine.school, asks, at)
    column = clearances.column(machine) if clearances.machines else []  # a machine that has left the shop
    page = AtMachine(
        machine=machine,
        asks=asks,
        sections=sections,
        section=chosen,
        ready=[student for student, answer in column if may_be_signed_off(answer)],
        cleared=[student for student, answer in column if answer.cleared],
        just_signed={},
        out_of_use=asks.out_of_use([machine.pk]).get(machine.pk),
        held=[student for student, answer in column if answer.standing is Standing.ON_HOLD],
        answers={student.pk: answer for student, answer in column},
        called=short_names_of(everybody),
        full=full_names_of(everybody),
    )
    return _with_records(page, column, person, at) if person.is_teacher else page


def _with_records(
    page: AtMachine, column: Sequence[tuple[Person, ClearanceResult]], teacher: Person, at: datetime
) -> AtMachine:
    """With what a teacher sees and undoes: sign-offs and tries. Two queries, three where a try was not complete."""
    history, undoable = _sign_offs_here(teacher, page.machine, at)
    just_signed = {sign_off.student_id: sign_off for sign_off in undoable}
    tries, undoable_tries = _tries_here(teacher, page.machine, [student.pk for student in page.ready], at)
    return replace(
        page,
        ready=[student for student, answer in column if may_be_signed_off(answer) or student.pk in just_signed],
        just_signed=just_signed,
        siblings=siblings_of(page.machine, page.asks),
        tries=tries,
        undoable_tries=undoable_tries,
        history=history,
    )


def siblings_of(machine: Machine, asks: SchoolRequirements) -> list[Machine]:
    """The machines of the same kind and name in its shop, by number."""
    like = (machine.shop_id, machine.kind_id, machine.name)
    return [other for other in asks.machines.values() if (other.shop_id, other.kind_id, other.name) == like]


def last_tries(students: Collection[int], machine: Machine, at: datetime) -> dict[int, NotYet]:
    """Student → the latest try at this kind of machine that was not complete, where no sign-off came after it. Two
    queries."""
    tries = NotYet.objects.filter(student__in=students, kind=machine.kind_id, at__lte=at, undone_at=None)
    return _without_signed({row.student_id: row for row in tries.select_related("by").order_by("at", "pk")})


def _without_signed(latest: dict[int, NotYet]) -> dict[int, NotYet]:
    """Those of these tries, at machines of one kind, that no sign-off came after. No query without a try."""
    if not latest:
        return {}
    kind = next(iter(latest.values())).kind_id
    signed = SignOff.objects.filter(student__in=latest, kind=kind, undone_at=None, withdrawn_at=None)
    signed_after = {
        student for student, signed_at in signed.values_list("student", "at") if signed_at > latest[student].at
    }
    return {student: row for student, row in latest.items() if student not in signed_after}


def _tries_here(
    teacher: Person, machine: Machine, ready: Collection[int], at: datetime
) -> tuple[dict[int, NotYet], list[NotYet]]:
    """`last_tries` of these students; and the teacher's own tries without a sign-off at this machine that can still be
    undone, the latest first."""
    of_ready = Q(student__in=ready, kind=machine.kind_id)
    mine = Q(by=teacher, machine=machine, at__gt=at - UNDO_FOR)
    rows = NotYet.objects.filter(of_ready | mine, at__lte=at, undone_at=None).select_related("by", "student")
    tries = list(rows.order_by("at", "pk"))
    latest = {row.student_id: row for row in tries if row.student_id in ready and row.kind_id == machine.kind_id}
    undoable = [
        row for row in tries
        if (row.by_id, row.machine_id) == (teacher.pk, machine.pk) and row.at > at - UNDO_FOR
    ]  # fmt: skip
    return _without_signed(latest), undoable[::-1]


def _sign_offs_here(teacher: Person, machine: Machine, at: datetime) -> tuple[list[SignOff], list[SignOff]]:
    """The latest sign-offs at the machine in the teacher's sight; and the teacher's own that can still be undone. Both
    the latest first."""
    here = sign_offs_for(teacher).filter(machine=machine).order_by("-at", "-pk")
    mine = Q(by=teacher, at__gt=at - UNDO_FOR, at__lte=at, undone_at=None, withdrawn_at=None)
    latest = SignOff.objects.filter(pk__in=here.values("pk")[:LATEST]).values("pk")
    rows = list(here.filter(mine | Q(pk__in=latest)))
    undoable = [
        row for row in rows
        if row.by_id == teacher.pk and at - UNDO_FOR < row.at <= at and row.undone_at is row.withdrawn_at is None
    ]  # fmt: skip
    return rows[:LATEST], undoable


def points_of(machine: Machine, last: NotYet | None) -> list[tuple[int, str, str]]:
    """The points of the demonstration as (number, words, what is known of the last try): those to be shown again
    first, then those no one got to, then the rest."""
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


def tag_outs_at(person: Person, machine: Machine) -> list[TagOut]:
    """The latest tag-outs of a machine in the asker's sight, the latest first."""
    return list(tag_outs_for(person).filter(machine=machine).order_by("-at", "-pk")[:LATEST])
