"""A teacher records that a demonstration was not complete yet: which points the student shows again."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from machines.models import Machine, NotYet
from machines.sign_offs.acts import DEED
from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, allow_with
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

UNDO_OVER = marked("The ten minutes are over. The next try starts at these points, and a sign-off replaces it.")


@act
def record_not_yet(
    *,
    student: Person,
    machine: Machine,
    again: Sequence[str],
    not_shown: Sequence[str],
    note: str,
    by: Person,
    tap: UUID,
    at: datetime | None = None,
) -> NotYet:
    """`again` are the points to be shown again, `not_shown` those no one got to. It changes no clearance.

    Refused: access.not-yours, not-yet.points-changed, not-yet.no-point (422), not-yet.tap-used.
    """
    allow(by, DEED, shop=machine.shop)
    allow_with(by, DEED, student)
    lock(student, machine)
    at = act_moment(machine.school_id, at)
    asked = {"student": student.pk, "machine": machine.pk, "again": list(again), "not_shown": list(not_shown)}
    if is_repeated(tap, "not-yet", by=by, at=at, asked=asked | {"note": note}):
        return NotYet.objects.get(tap=tap)
    _some_points(machine, again, not_shown)
    row = NotYet.objects.create(
        school_id=machine.school_id,
        student=student,
        machine=machine,
        kind_id=machine.kind_id,
        by=by,
        at=at,
        again=list(again),
        not_shown=list(not_shown),
        note=note.strip()[:200],
        tap=tap,
    )
    more = {"again": row.again, "not_shown": row.not_shown, "note": row.note}
    row.entry = _record("demonstration.not_yet", row, by, at, **more)
    row.save(update_fields=["entry"])
    return row


def _some_points(machine: Machine, again: Sequence[str], not_shown: Sequence[str]) -> None:
    if not {*again, *not_shown} <= set(machine.kind.demonstration):
        raise Refused(
            "not-yet.points-changed", _("The points of this demonstration have changed. Open the page again.")
        )
    if not again and not not_shown:
        raise Refused("not-yet.no-point", _("You watched every point. Sign off, or check a point to show again."), 422)


@act
def undo_not_yet(*, not_yet: NotYet, by: Person, at: datetime | None = None) -> NotYet:
    """The wrong student, the wrong points: gone, within ten minutes, by the teacher who recorded it.

    Refused: access.not-yours, not-yet.not-yours, not-yet.too-late.
    """
    allow(by, DEED, shop=not_yet.machine.shop)
    allow_with(by, DEED, not_yet.student)
    lock(not_yet.student, not_yet.machine)
    at = act_moment(not_yet.school_id, at)
    row = NotYet.objects.select_related("by", "student", "machine__kind").get(pk=not_yet.pk)
    if row.undone_at is not None:
        return row
    if row.by_id != by.pk:
        raise Refused("not-yet.not-yours", _("Only {teacher} can undo this.", teacher=row.by.name))
    if at >= row.undo_until:
        raise Refused("not-yet.too-late", _(UNDO_OVER))
    row.undone_at, row.undone_by = at, by
    row.save(update_fields=["undone_at", "undone_by"])
    _record("demonstration.not_yet_undone", row, by, at)
    return row


def _record(kind: str, row: NotYet, by: Person, at: datetime, **more: Any) -> Any:
    payload = {
        "student": row.student.as_record(),
        "machine": row.machine.as_record(),
        "machine_kind": {"id": row.kind_id, "name": row.machine.kind.name},
        "by": by.as_record(),
        "not_yet": row.pk,
        **more,
    }
    return append(kind=kind, school=row.school_id, at=at, payload=payload)
