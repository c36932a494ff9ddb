"""Everything the logbook says about one subject, with the proof that it is in the logbook.

The file stands by itself: `verify_evidence.py` checks it with the standard library alone. It proves that each entry
was written, in this place, with these words, before the checkpoint. It can't prove that it holds every entry there is.
"""

from typing import Any

from shopsafe.language.messages import _
from shopsafe.logbook.models import Body, Checkpoint, Entry, Subject
from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.chain import ChainLink
from shopsafe.logbook.rules.tree import Tree
from shopsafe.logbook.subtrees import tree_by_leaves, tree_by_subtrees

FORMAT = "shopsafe evidence 1"


class BrokenRecord(Exception):
    """The logbook doesn't hold, so nothing can be shown with it. Run `manage.py logbook verify`."""


def evidence(key: str, *, subject: dict[str, Any], checkpoint: Checkpoint) -> dict[str, Any]:
    """The evidence about `key` (as subjects.person(12) gives it) among the entries that `checkpoint` covers.

    `subject` is how the entries name it: {"id", "name"}. Raises BrokenRecord.
    """
    links = links_about(key, checkpoint.size)
    paths = tree_of(checkpoint, [link.seq - 1 for link in links]).paths()
    return {
        "format": FORMAT,
        "subject": subject,
        "checkpoint": {
            "size": checkpoint.size,
            "root": bytes(checkpoint.root).hex(),
            "at": chain.utc_second(checkpoint.at),
        },
        "entries": [as_evidence(link, paths[link.seq - 1]) for link in links],
    }


def links_about(key: str, size: int) -> list[ChainLink]:
    """The entries about the subject, oldest first. Raises BrokenRecord for one that is not as it was written."""
    seqs = Subject.objects.filter(key=key, entry__lte=size).values("entry")
    entries = Entry.objects.filter(seq__in=seqs).order_by("seq")
    bodies = Body.objects.in_bulk([entry.seq for entry in entries])
    links = [link_of(entry, bodies.get(entry.seq)) for entry in entries]
    for link in links:
        if fault := chain.fault_in(link, link.seq, link.prev):
            raise BrokenRecord(fault.sentence)
    return links


def link_of(entry: Entry, body: Body | None) -> ChainLink:
    return ChainLink(
        entry.seq,
        bytes(entry.prev),
        bytes(entry.header),
        bytes(entry.commitment),
        bytes(entry.hash),
        bytes(body.salt) if body else None,
        bytes(body.payload) if body else None,
    )


def tree_of(checkpoint: Checkpoint, watch: list[int]) -> Tree:
    """The tree that the checkpoint was taken of. Every leaf is read only where the kept roots lead elsewhere: then
    either one of them was changed, or the record."""
    tree = tree_by_subtrees(checkpoint.size, watch)
    if tree.root() == bytes(checkpoint.root):
        return tree
    tree = tree_by_leaves(checkpoint.size, watch)
    if tree.root() != bytes(checkpoint.root):
        raise BrokenRecord(
            _("The first {size} entries are not those the checkpoint was taken of.", size=checkpoint.size)
        )
    return tree


def as_evidence(link: ChainLink, path: list[bytes]) -> dict[str, Any]:
    """One entry. `header` and `payload` are the very texts that were hashed, so they stay texts."""
    header = chain.header_of(link.header)
    return {
        "seq": link.seq,
        "at": chain.utc_second(header.at),
        "kind": header.kind,
        "prev": link.prev.hex(),
        "header": link.header.decode(),
        "salt": (link.salt or b"").hex(),
        "payload": (link.payload or b"").decode(),
        "commitment": link.commitment.hex(),
        "hash": link.hash.hex(),
        "path": [node.hex() for node in path],
    }
