"""A teacher stops a student's use of some machines or of all, and lifts that again."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from machines.models import Hold, Machine
from machines.wording import clock
from shopsafe.logbook.append import append
from shopsafe.school.access import allow_with
from shopsafe.school.calendar import end_of_day, local_day
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

NAMED = {
    Hold.Lifts.RULES: "Say which rules are to be learned again.",
    Hold.Lifts.QUIZ: "Say which quiz is to be taken again.",
}


@transaction.atomic(durable=True)
def place_hold(
    *,
    student: Person,
    machines: Sequence[Machine] | None,
    reason: str,
    lifts: str,
    by: Person,
    tap: UUID,
    at: datetime,
    words: str = "",
    lifts_words: str = "",
    last_day: date | None = None,
) -> Hold:
    """From now on `student` may not use `machines`, or, where that is None, any machine.

    `reason` and `lifts` are codes of Hold.Reason and Hold.Lifts. A `tap` sent again gives the same hold. Refused:
    access.not-yours, hold.tap-used, hold.no-machine, hold.elsewhere, hold.no-reason, hold.no-words, hold.no-way-out,
    hold.no-day, hold.day-passed.
    """
    allow_with(by, "place a hold", student)
    Person.objects.select_for_update().get(pk=student.pk)
    if (same := Hold.objects.filter(tap=tap).first()) is not None:
        return _same_tap(same, student, by)
    _machines_of_school(student, machines)
    _has_reason(reason, words)
    _has_way_out(student, lifts, lifts_words, last_day, at)
    hold = Hold.objects.create(
        school_id=student.school_id,
        student=student,
        everywhere=machines is None,
        reason=reason,
        words=words.strip()[:300],
        lifts=lifts,
        lifts_words=lifts_words.strip()[:300],
        last_day=last_day if lifts == Hold.Lifts.DATE else None,
        placed_by=by,
        placed_at=at,
        tap=tap,
    )
    return _entered(hold, machines, by, at)


def _entered(hold: Hold, machines: Sequence[Machine] | None, by: Person, at: datetime) -> Hold:
    """The hold with its machines and its entry in the logbook."""
    hold.machines.set(machines or [])
    hold.entry = _record("hold.placed", hold, machines, by, at, why=hold.why, lifts=hold.what_lifts_it)
    hold.save(update_fields=["entry"])
    return hold


@transaction.atomic(durable=True)
def lift_hold(*, hold: Hold, by: Person, words: str, at: datetime) -> Hold:
    """The student may go on where the rest is met. `words`: what was done about it.

    Refused: access.not-yours, hold.lifted-already, hold.over, lift.no-words.
    """
    allow_with(by, "lift a hold", hold.student)
    Person.objects.select_for_update().get(pk=hold.student_id)
    row = Hold.objects.select_related("lifted_by", "student", "school").get(pk=hold.pk)
    zone = row.school.time_zone
    if row.lifted_at is not None and row.lifted_by is not None:
        raise Refused("hold.lifted-already", f"{row.lifted_by.name} lifted this hold on {clock(row.lifted_at, zone)}.")
    if row.last_day is not None and at >= end_of_day(row.last_day, zone):
        raise Refused("hold.over", "This hold is over: its last day has passed.")
    if not words.strip():
        raise Refused("lift.no-words", "Say what was done about it.", 422)
    row.lifted_by, row.lifted_at, row.lifted_words = by, at, words.strip()[:300]
    row.save(update_fields=["lifted_by", "lifted_at", "lifted_words"])
    machines = None if row.everywhere else list(row.machines.select_related("kind"))
    _record("hold.lifted", row, machines, by, at, words=row.lifted_words)
    return row


def _same_tap(same: Hold, student: Person, by: Person) -> Hold:
    if (same.student_id, same.placed_by_id) != (student.pk, by.pk):
        raise Refused("hold.tap-used", "This page was used for another hold. Open it again.", 422)
    return same


def _machines_of_school(student: Person, machines: Sequence[Machine] | None) -> None:
    if machines is None:
        return
    if not machines:
        raise Refused("hold.no-machine", "Choose the machines, or all of them.", 422)
    if any(machine.school_id != student.school_id for machine in machines):
        raise Refused("hold.elsewhere", "That machine belongs to another school.", 403)


def _has_reason(reason: str, words: str) -> None:
    if reason not in Hold.Reason.values:
        raise Refused("hold.no-reason", "Choose a reason.", 422)
    if reason == Hold.Reason.OTHER and not words.strip():
        raise Refused("hold.no-words", "Say what happened.", 422)


def _has_way_out(student: Person, lifts: str, lifts_words: str, last_day: date | None, at: datetime) -> None:
    if lifts not in Hold.Lifts.values:
        raise Refused("hold.no-way-out", "Choose what lifts the hold.", 422)
    if lifts in NAMED and not lifts_words.strip():
        raise Refused("hold.no-way-out", NAMED[Hold.Lifts(lifts)], 422)
    if lifts != Hold.Lifts.DATE:
        return
    if last_day is None:
        raise Refused("hold.no-day", "Give the last day of the hold.", 422)
    if last_day < local_day(at, student.school.time_zone):
        raise Refused("hold.day-passed", "The last day of the hold has passed already.", 422)


def _record(kind: str, hold: Hold, machines: Sequence[Machine] | None, by: Person, at: datetime, **more: Any) -> Any:
    where = "every machine" if machines is None else [machine.as_record() for machine in machines]
    payload = {
        "student": hold.student.as_record(),
        "machines": where,
        "by": by.as_record(),
        "hold": hold.pk,
        "last_day": hold.last_day,
        **more,
    }
    return append(kind=kind, school=hold.school_id, at=at, payload=payload)
