"""The act of taking a checkpoint: the root over every entry so far, to be kept outside the database."""

from datetime import datetime

from shopsafe.act import act, server_time
from shopsafe.logbook.append import lock_last_entry
from shopsafe.logbook.models import Checkpoint, Subtree
from shopsafe.logbook.queries import latest_checkpoint, size
from shopsafe.logbook.subtrees import Growth


def take_checkpoint(*, at: datetime | None = None) -> Checkpoint:
    """The checkpoint of the logbook as it is. Nothing new is stored where the last one covers all of it.

    What is there already is hashed before anyone has to wait: entries never change.
    """
    growth = Growth(latest_checkpoint())
    growth.grow(size())
    return store_checkpoint(growth=growth, at=at)


@act
def store_checkpoint(*, growth: Growth, at: datetime | None = None) -> Checkpoint:
    """Take in what was appended since, and store the checkpoint with the roots that are to be kept."""
    lock_last_entry()
    growth.grow(size())
    # Another checkpoint may have been taken in the meantime, and have kept the same roots.
    Subtree.objects.bulk_create(growth.new, ignore_conflicts=True, batch_size=500)
    last = latest_checkpoint()
    if last and last.size == growth.tree.size:
        return last
    tree = growth.tree
    return Checkpoint.objects.create(size=tree.size, root=tree.root(), peaks=tree.peaks(), at=at or server_time())
