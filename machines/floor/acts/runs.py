"""A machine is given to a student, started once it is checked, and the run ends when it stands still."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError

from machines.floor.checks import check_lines
from machines.floor.facts import StartRefusal
from machines.floor.queries import keeps_runs, open_shop_of
from machines.floor.rules.starts import reasons_against_giving, reasons_against_start
from machines.floor.start_facts import refuse, start_facts
from machines.floor.supervision import allow_floor, confirm_by_deed, presence_payload
from machines.models import Machine, PresenceConfirmation, Run, RunHelper, WaitingStudent
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

START = PresenceConfirmation.Means.START


def assign(*, machine: Machine, student: Person, by: Person, tap: UUID, at: datetime | None = None) -> Run:
    """`by` gives the machine to the student, who checks it before it runs. Of two at once the second is refused and
    reads who has it. Counts as a confirmation of presence, and takes the student off the machine's waiting list.

    Refused: access.not-yours, floor.no-grant, runs.not-kept, give.tap-used, and the codes of `StartRefusal`.
    """
    try:
        return _assign(machine, student, by, tap, at)
    except IntegrityError as race:
        raise _taken(machine, student) from race


@act
def _assign(machine: Machine, student: Person, by: Person, tap: UUID, at: datetime | None) -> Run:
    allow(by, "run the floor", shop=machine.shop)
    lock(student, machine, machine.shop)
    clock, last = act_clock(at), last_moment(machine.school_id)
    at = act_moment(machine.school_id, at)
    if is_repeated(tap, "give", by=by, at=at, asked={"machine": machine.pk, "student": student.pk}):
        return Run.objects.get(tap=tap)
    if not keeps_runs(machine.shop_id):
        raise Refused(
            "runs.not-kept", _("{shop} keeps no runs. Turn them on in the floor settings.", shop=machine.shop.name)
        )
    if not student.is_student or not students_for(by).filter(pk=student.pk).exists():
        raise Refused("access.not-yours", _("This student is in none of your classes."), 403)
    now = open_shop_of(machine.shop_id, last)
    if now is not None:
        allow_floor(by, machine.shop, now.opening.section_id, at)
    hour = now.hour if now is not None else None
    refuse(reasons_against_giving(start_facts(student, machine, hour, at, asks_helpers=False), clock))
    if now is None or Run.objects.filter(machine=machine, student=student, ended_at=None).exists():
        raise _taken(machine, student)
    row = Run.objects.create(
        school_id=machine.school_id, opening=now.opening, machine=machine, student=student, given_by=by, given_at=at,
        tap=tap,
    )  # fmt: skip
    presence = confirm_by_deed(machine.shop_id, by, START, at, clock, last)
    row.entry = _record("run.given", row, by, at, opening=now.opening.pk)
    row.save(update_fields=["entry"])
    _leave_list(row, by, at)
    _record_presence(presence, at)
    return row


def _leave_list(run: Run, by: Person, at: datetime) -> None:
    """Take the student off the waiting list of the machine."""
    waits = {"opening": run.opening_id, "machine": run.machine_id, "student": run.student_id, "left_at": None}
    waiting = WaitingStudent.objects.filter(**waits).first()
    if waiting is not None:
        waiting.left_at, waiting.left_by = at, by
        waiting.save(update_fields=["left_at", "left_by"])
        _record("waiting.left", run, by, at, opening=run.opening_id, waiting=waiting.pk)


@act
def start(*, run: Run, checked: Sequence[str], by: Person, tap: UUID, at: datetime | None = None) -> Run:
    """The pre-use check is done, line by line as worded, and the machine may be switched on. The student at the machine
    says so, or the teacher. Everything is asked again: the shop, the machine, the clearance, the helpers.

    Refused: access.not-yours, floor.no-grant, start.over, start.already, check.missing, check.changed, start.tap-used,
    and the codes of `StartRefusal`.
    """
    _may(by, run)
    helpers = list(RunHelper.objects.filter(run=run, ended_at=None).select_related("student"))
    lock(run.student, run.machine, run.machine.shop, run, *(row.student for row in helpers))
    clock, last = act_clock(at), last_moment(run.school_id)
    at = act_moment(run.school_id, at)
    if is_repeated(tap, "start", by=by, at=at, asked={"run": run.pk, "checked": sorted(checked)}):
        return run
    if run.ended_at is not None:
        raise Refused("start.over", _("This machine was given back. Ask your teacher for it again."))
    if run.started_at is not None:
        raise Refused("start.already", _("{machine} is checked and started already.", machine=run.machine))
    _all_checked(run.machine, checked)
    now = open_shop_of(run.machine.shop_id, last)
    if not by.is_student:
        allow_floor(by, run.machine.shop, run.opening.section_id, at)
    hour = now.hour if now is not None and now.opening.pk == run.opening_id else None
    helpers = list(RunHelper.objects.filter(run=run, ended_at=None).select_related("student"))
    facts = replace(start_facts(run.student, run.machine, hour, at, run, helpers), checked_at=at)
    refuse(reasons_against_start(facts, clock))
    run.started_at, run.checked_by, run.checks = at, (None if by.is_student else by), list(checked)
    run.save(update_fields=["started_at", "checked_by", "checks"])
    presence = None if by.is_student else confirm_by_deed(run.machine.shop_id, by, START, at, clock, last)
    _record("run.started", run, run.checked_by, at, checks=run.checks)
    _record_presence(presence, at)
    return run


@act
def end_run(*, run: Run, by: Person, tap: UUID, at: datetime | None = None) -> Run:
    """The machine stands still: the student says so, or a teacher who has looked. Whatever state the shop is in: this
    is how each run that is still on the list is confirmed stopped. Ending twice is once.

    Refused: access.not-yours, end.tap-used.
    """
    _may(by, run)
    lock(run.student, run.machine, run)
    at = act_moment(run.school_id, at)
    if not by.is_student:
        allow_floor(by, run.machine.shop, run.opening.section_id, at)
    if is_repeated(tap, "end", by=by, at=at, asked={"run": run.pk}) or run.ended_at is not None:
        return run
    run.ended_at, run.ended_by = at, (None if by.is_student else by)
    run.save(update_fields=["ended_at", "ended_by"])
    _record("run.ended", run, run.ended_by, at)
    return run


def _may(by: Person, run: Run) -> None:
    """The student of the run, or who runs the floor. A substitute's grant is asked for with the opening."""
    if by.is_student and by.pk == run.student_id and by.is_active:
        return
    allow(by, "run the floor", shop=run.machine.shop)


def _all_checked(machine: Machine, checked: Sequence[str]) -> None:
    asked = check_lines(machine.kind)
    if not set(checked) <= set(asked):
        raise Refused("check.changed", _("The pre-use check of this machine was changed. Read it again."))
    missing = [line for line in asked if line not in checked]
    if missing:
        raise Refused(StartRefusal.NOT_CHECKED, _("Not checked yet: “{line}”.", line=_(missing[0])), 422)


def _taken(machine: Machine, student: Person) -> Refused:
    """Two at once: the database let one through. The second reads who has the machine, or where the student is."""
    run = Run.objects.filter(machine=machine, ended_at=None).select_related("student").first()
    if run is not None:
        return Refused(
            StartRefusal.IN_USE,
            _(
                "{student} has {machine}. One student at each machine.",
                student=run.student.name,
                machine=machine.spoken,
            ),
        )
    elsewhere = Run.objects.filter(student=student, ended_at=None).select_related("machine__kind").first()
    where = elsewhere.machine.spoken if elsewhere else _("another machine")
    return Refused(
        StartRefusal.ELSEWHERE, _("{student} is at {where}. End that run first.", student=student.name, where=where)
    )


def _record_presence(presence: PresenceConfirmation | None, at: datetime) -> None:
    if presence is not None:
        payload = presence_payload(presence)
        presence.entry = append(kind="shop.presence", school=presence.school_id, at=at, payload=payload)
        presence.save(update_fields=["entry"])


def _record(kind: str, run: Run, by: Person | None, at: datetime, **more: Any) -> Any:
    payload = {
        "student": run.student.as_record(),
        "machine": run.machine.as_record(),
        **({"by": by.as_record()} if by else {}),
        "run": run.pk,
        **more,
    }
    return append(kind=kind, school=run.school_id, at=at, payload=payload)
