"""Starts the process that makes sets of prints. It ends when nothing waits; the next set starts another."""

from datetime import datetime

from machines.models import PrintSet
from machines.prints.batches.acts import SILENT_FOR, SOON
from shopsafe import workers


def start_worker() -> None:
    """Sees that someone works. One that finds another at work ends at once, so once too often is harmless."""
    workers.start_worker("print_sets")


def is_abandoned(row: PrintSet, at: datetime) -> bool:
    """No one has taken it up, or its worker has not been heard of: a server was restarted, or a process killed."""
    if row.state == PrintSet.State.PRINTING and row.beat_at:
        return at - row.beat_at > SILENT_FOR
    return row.state == PrintSet.State.WAITING and at - row.asked_at > SOON
