"""Asking for a reading of the whole logbook, and what the process that does it reports."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError

from shopsafe.act import act, server_time
from shopsafe.language.kept import as_kept
from shopsafe.logbook.models import VerificationRun

SILENT_FOR = timedelta(seconds=30)  # a process that reads reports every two seconds


def ask_for_verification(*, against: str = "", at: datetime | None = None) -> bool:
    """Whether a process is to be started: False while one reads already."""
    try:
        return _ask(against, at or server_time())
    except IntegrityError:
        return False  # asked for by someone else at the same moment


@act
def _ask(against: str, at: datetime) -> bool:
    run = VerificationRun.objects.filter(over=False).first()
    if run is None:
        VerificationRun.objects.create(asked_at=at, against=against)
        return True
    if not is_silent(run, at):
        return False
    # Of two who ask at the same moment, one finds it as it was.
    as_it_was = VerificationRun.objects.filter(pk=run.pk, over=False, claim=run.claim, asked_at=run.asked_at)
    return bool(as_it_was.update(asked_at=at, claim=None, beat_at=None, against=against, read=0))


def is_silent(run: VerificationRun, at: datetime) -> bool:
    """No process reads: it never began, or it was ended from outside."""
    return not run.over and at - (run.beat_at or run.asked_at) > SILENT_FOR


@act
def claim_verification(*, claim: UUID, to_read: int, at: datetime | None = None) -> VerificationRun | None:
    """The reading that waits, for the process of this claim; None if none does."""
    waiting = VerificationRun.objects.filter(over=False, claim=None)
    if not waiting.update(claim=claim, beat_at=at or server_time(), read=0, to_read=to_read):
        return None
    return VerificationRun.objects.get(claim=claim)


@act
def report_reading(*, claim: UUID, read: int, at: datetime | None = None) -> None:
    """How many entries have been read, each counted twice."""
    VerificationRun.objects.filter(claim=claim, over=False).update(read=read, beat_at=at or server_time())


@act
def end_verification(*, claim: UUID, outcome: str = "") -> None:
    VerificationRun.objects.filter(claim=claim, over=False).update(over=True, outcome=as_kept(outcome, 300))
