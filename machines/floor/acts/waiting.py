"""A student joins the waiting list of a machine, or leaves it."""

from datetime import datetime
from typing import Any
from uuid import UUID

from machines.clearance.queries import answer_for
from machines.floor.queries import keeps_runs, open_shop_of
from machines.floor.start_facts import reasons_of
from machines.floor.supervision import allow_floor
from machines.models import Machine, Run, WaitingStudent
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.logbook.queries import last_moment
from shopsafe.school.access import allow, students_for
from shopsafe.school.clock import act_clock, act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated


def _may_wait(student: Person, machine: Machine, by: Person, at: datetime) -> None:
    names = {"student": student.name, "machine": machine.spoken}
    if Run.objects.filter(machine=machine, student=student, ended_at=None).exists():
        raise Refused("waiting.at-it", _("{student} has {machine} already.", **names))
    answer = answer_for(student, machine, at)
    if not answer.cleared:
        why = reasons_of(answer)[0] if not by.is_student else answer.reasons[0].sentence
        raise Refused("waiting.not-cleared", _("{student} is not cleared on {machine}. {why}", **names, why=why))


@act
def join_waiting(
    *, machine: Machine, student: Person, by: Person, tap: UUID, at: datetime | None = None
) -> WaitingStudent:
    """The student waits for the machine while the shop is open. Only a cleared student waits. Joining twice is once.

    Refused: access.not-yours, waiting.closed, waiting.not-kept, waiting.not-cleared, waiting.at-it, waiting.tap-used.
    """
    _may(by, student, machine)
    lock(student, machine, machine.shop)
    clock, last = act_clock(at), last_moment(machine.school_id)
    at = act_moment(machine.school_id, at)
    asked = {"machine": machine.pk, "student": student.pk}
    if is_repeated(tap, "waiting", by=by, at=at, asked=asked):
        return WaitingStudent.objects.filter(machine=machine, student=student).order_by("-pk")[0]
    now = open_shop_of(machine.shop_id, last)
    if now is None or not now.state(clock).is_open:
        raise Refused(
            "waiting.closed", _("{shop} is closed. You can wait once a teacher opens it.", shop=machine.shop.name)
        )
    if not by.is_student:
        allow_floor(by, machine.shop, now.opening.section_id, at)
    if not keeps_runs(machine.shop_id):
        raise Refused("waiting.not-kept", _("{shop} keeps no waiting lists. Ask your teacher.", shop=machine.shop.name))
    waits = WaitingStudent.objects.filter(opening=now.opening, machine=machine, student=student, left_at=None).first()
    if waits is not None:
        return waits
    _may_wait(student, machine, by, at)
    row = WaitingStudent.objects.create(
        school_id=machine.school_id, opening=now.opening, machine=machine, student=student,
        added_by=None if by.is_student else by, joined_at=at,
    )  # fmt: skip
    row.entry = _record("waiting.joined", row, row.added_by, at)
    row.save(update_fields=["entry"])
    return row


@act
def leave_waiting(*, waiting: WaitingStudent, by: Person, tap: UUID, at: datetime | None = None) -> WaitingStudent:
    """The student no longer waits. Leaving twice is once. Refused: access.not-yours, waiting-leave.tap-used."""
    _may(by, waiting.student, waiting.machine)
    lock(waiting.student, waiting.machine, waiting)
    at = act_moment(waiting.school_id, at)
    if not by.is_student:
        allow_floor(by, waiting.machine.shop, waiting.opening.section_id, at)
    if is_repeated(tap, "waiting-leave", by=by, at=at, asked={"waiting": waiting.pk}) or waiting.left_at is not None:
        return waiting
    waiting.left_at, waiting.left_by = at, (None if by.is_student else by)
    waiting.save(update_fields=["left_at", "left_by"])
    _record("waiting.left", waiting, waiting.left_by, at)
    return waiting


def _may(by: Person, student: Person, machine: Machine) -> None:
    if by.is_student:
        allow(by, "wait for a machine", shop=machine.shop)
        if by.pk != student.pk:
            raise Refused("access.not-yours", _("Only your own name can be put on the list."), 403)
        return
    allow(by, "run the floor", shop=machine.shop)
    if not student.is_student or not students_for(by).filter(pk=student.pk).exists():
        raise Refused("access.not-yours", _("This student is in none of your classes."), 403)


def _record(kind: str, row: WaitingStudent, by: Person | None, at: datetime) -> Any:
    payload = {
        "student": row.student.as_record(),
        "machine": row.machine.as_record(),
        **({"by": by.as_record()} if by else {}),
        "opening": row.opening_id,
        "waiting": row.pk,
    }
    return append(kind=kind, school=row.school_id, at=at, payload=payload)
