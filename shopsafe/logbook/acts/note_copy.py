"""The act of noting that a copy of a checkpoint left this computer: entries up to it are protected from then on."""

from datetime import datetime

from shopsafe.act import act, server_time
from shopsafe.language.kept import as_kept
from shopsafe.logbook.models import Checkpoint, CheckpointCopy


@act
def note_copy(*, checkpoint: Checkpoint, way: str, problem: str = "", at: datetime | None = None) -> CheckpointCopy:
    """`problem`: why it could not be made; empty if it was."""
    row = {"checkpoint": checkpoint, "way": way, "problem": as_kept(problem, 300)}
    return CheckpointCopy.objects.create(**row, at=at or server_time())
