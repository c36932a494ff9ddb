"""The act of taking a checkpoint: the root over every entry so far, to be kept outside the database."""

from datetime import datetime

from shopsafe.act import act, server_time
from shopsafe.logbook.append import lock_last_entry
from shopsafe.logbook.models import Checkpoint, Entry
from shopsafe.logbook.rules.tree import Tree


@act
def take_checkpoint(*, at: datetime | None = None) -> Checkpoint:
    """The checkpoint of the logbook as it stands. Nothing new is stored where the last one covers all of it."""
    lock_last_entry()
    last = Checkpoint.objects.order_by("-size").first()
    tree = Tree(size=last.size, peaks=bytes(last.peaks)) if last else Tree()
    hashes = Entry.objects.filter(seq__gt=tree.size).order_by("seq").values_list("hash", flat=True)
    for leaf in hashes.iterator():
        tree.add(bytes(leaf))
    if last and last.size == tree.size:
        return last
    return Checkpoint.objects.create(size=tree.size, root=tree.root(), peaks=tree.peaks(), at=at or server_time())
