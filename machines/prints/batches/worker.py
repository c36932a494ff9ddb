"""Starts the process that makes sets of prints. It ends when nothing waits; the next set starts another."""

import subprocess
import sys
from datetime import datetime

from django.conf import settings

from machines.models import PrintSet
from machines.prints.batches.acts import SILENT_FOR, SOON


def start_worker() -> None:
    """Sees that somebody works. One that finds another at work ends at once, so once too often is harmless."""
    if settings.PRINT_WORKER:
        subprocess.Popen(  # noqa: S603  our own command
            [sys.executable, settings.BASE_DIR / "manage.py", "print_sets"],
            cwd=settings.BASE_DIR,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            start_new_session=True,  # it outlives a server that is restarted
        )


def is_abandoned(row: PrintSet, at: datetime) -> bool:
    """Nobody has taken it up, or whoever did has not been heard of: a server was restarted, or a process killed."""
    if row.state == PrintSet.State.PRINTING and row.beat_at:
        return at - row.beat_at > SILENT_FOR
    return row.state == PrintSet.State.WAITING and at - row.asked_at > SOON
