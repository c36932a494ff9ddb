"""A set of sheets is asked for, taken up by a worker, reported on, stopped, or failed.

It is ready when its codes are recorded (`prints.record_set`). No safety record: a set is not in the logbook, but every
card and chart of one that is ready is, as if made alone. A set waits for a worker and not for a moment of the school,
so it goes by the server's clock alone.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from machines.models import PrintSet
from shopsafe.act import act, server_time
from shopsafe.language.kept import as_kept
from shopsafe.language.messages import _
from shopsafe.school.access import allow
from shopsafe.school.locks import locked
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.refusals import Refused

SILENT_FOR = timedelta(seconds=150)  # longer than the slowest sheet may take: then its worker is gone
KEPT_FOR = timedelta(days=1)
SOON = timedelta(seconds=10)  # to start Python and take it up
State = PrintSet.State


@act
def ask_for_set(
    *,
    key: UUID,
    what: str,
    shop: Shop,
    section: Section | None,
    wants: Mapping[str, Any],
    by: Person,
    at: datetime | None = None,
) -> PrintSet:
    """The set under its key; the same key again is the same set. Sets of yesterday go. Refused: access.not-yours."""
    allow(by, "export a record" if what == PrintSet.BatchKind.EVIDENCE else "print", shop=shop)
    at = at or server_time()
    for old in PrintSet.objects.filter(asked_at__lt=at - KEPT_FOR):
        old.file.unlink(missing_ok=True)
        for part in old.file.parent.glob(f"{old.key}.*.part"):
            part.unlink(missing_ok=True)
        old.delete()
    asked = {"what": what, "shop": shop, "section": section, "wants": dict(wants), "asked_at": at, "asked_by": by}
    row, _is_new = PrintSet.objects.get_or_create(key=key, defaults={**asked, "school_id": shop.school_id})
    if row.asked_by_id != by.pk:
        raise Refused("access.not-yours", _("This set was asked for by someone else."), 403)
    return row


@act
def claim_next(*, claim: UUID, at: datetime | None = None) -> PrintSet | None:
    """The set whose turn it is, for the worker of this claim; None if there is none or another worker is at one."""
    rows = locked(PrintSet.objects.order_by("asked_at"))
    at = at or server_time()
    at_work = rows.filter(state=State.PRINTING).first()
    if at_work and at_work.beat_at and at_work.beat_at > at - SILENT_FOR:
        return None
    row = at_work or rows.filter(state=State.WAITING).first()
    if row is not None:
        row.state, row.claim, row.beat_at, row.done, row.of, row.message = State.PRINTING, claim, at, 0, 0, ""
        row.save(update_fields=["state", "claim", "beat_at", "done", "of", "message"])
    return row


@act
def want_worker(*, row: PrintSet, at: datetime | None = None) -> bool:
    """Whether a worker is to be started for this batch. True once in the time that one takes to start.

    Every page that watches the batch asks; `beat_at` of a batch that waits is when a worker was last started for it.
    """
    at = at or server_time()
    batch = locked(PrintSet.objects.filter(pk=row.pk)).first()
    if batch is None or batch.state not in (State.WAITING, State.PRINTING):
        return False
    working = PrintSet.objects.filter(state=State.PRINTING, beat_at__gt=at - SILENT_FOR)
    if working.exclude(pk=batch.pk).exists():
        return False  # that worker takes up this batch next
    silent = SILENT_FOR if batch.state == State.PRINTING else SOON
    last = batch.beat_at or (batch.asked_at if batch.state == State.PRINTING else None)
    if last is not None and at - last < silent:
        return False
    if batch.state == State.PRINTING:
        batch.state, batch.claim, batch.done = State.WAITING, None, 0
    batch.beat_at = at
    batch.save(update_fields=["state", "claim", "done", "beat_at"])
    return True


@act
def report_progress(
    *, row: PrintSet, claim: UUID, done: int, of: int, message: str, at: datetime | None = None
) -> bool:
    """How far it is. False if it was stopped, or another worker has taken it up: then this one lets go."""
    mine = PrintSet.objects.filter(pk=row.pk, claim=claim, state=State.PRINTING)
    return bool(mine.update(done=done, of=of, message=as_kept(message, 300), beat_at=at or server_time()))


@act
def fail(*, row: PrintSet, claim: UUID, message: str) -> bool:
    """It can't be made, and `message` says why. False as in `report_progress`."""
    mine = PrintSet.objects.filter(pk=row.pk, claim=claim, state=State.PRINTING)
    return bool(mine.update(state=State.FAILED, message=as_kept(message, 300)))


@act
def stop_set(*, row: PrintSet, by: Person) -> None:
    """Nothing more of it is made, and nothing of it is recorded. Refused: set.over."""
    batch = _own(row, by)
    if batch.over:
        raise Refused("set.over", _("This set is finished already."))
    batch.state, batch.message = State.STOPPED, ""
    batch.save(update_fields=["state", "message"])


@act
def start_again(*, row: PrintSet, by: Person, at: datetime | None = None) -> None:
    """One that was stopped or failed, from the start. Refused: set.made."""
    batch = _own(row, by)
    if batch.state not in (State.STOPPED, State.FAILED):
        raise Refused("set.made", _("This set is ready, or is being made already."))
    batch.state, batch.message, batch.asked_at, batch.done = State.WAITING, "", at or server_time(), 0
    batch.save(update_fields=["state", "message", "asked_at", "done"])


def _own(row: PrintSet, by: Person) -> PrintSet:
    allow(by, "print", shop=row.shop)
    return locked(PrintSet.objects.all()).get(pk=row.pk, asked_by=by)
