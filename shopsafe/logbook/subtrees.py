"""The roots of full subtrees that are kept, so that proving a few entries reads a few of them, not the whole logbook.

Kept are the roots over each 64 entries and over each 4,096. A proof opens only those with an entry that it is about.
The roots are checked by where they lead: to the root of the checkpoint, which is part of the record.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import batched

from shopsafe.logbook.models import Checkpoint, Entry, Subtree
from shopsafe.logbook.rules.tree import Tree, full_root, joined_root

NARROW, WIDE = 64, 4_096
BATCH = 32 * NARROW
OPENED_AT_ONCE = 16  # wide subtrees, so that a proof about everything stays in bounded memory


class Growth:
    """A tree that grows with the logbook, and the roots that are to be kept on the way."""

    def __init__(self, last: Checkpoint | None) -> None:
        self.tree = Tree(size=last.size, peaks=bytes(last.peaks)) if last else Tree()
        self.new: list[Subtree] = []
        kept = Subtree.objects.filter(width=NARROW).order_by("-number").values_list("number", flat=True).first()
        self._narrow = 0 if kept is None else kept + 1  # the first that is not kept
        first = self._narrow * NARROW // WIDE * (WIDE // NARROW)
        roots = _kept_roots(NARROW, range(first, self._narrow))
        self._roots = [roots[number] for number in range(first, self._narrow)]  # of the wide one that is not full

    def grow(self, size: int) -> None:
        """Take in the entries up to number `size`."""
        start = min(self.tree.size, self._narrow * NARROW) // NARROW * NARROW
        for leaves in _leaves(start, size):
            for chunk in map(list, batched(leaves, NARROW)):
                self._take(start, chunk)
                start += len(chunk)

    def _take(self, start: int, leaves: list[bytes]) -> None:
        root = full_root(leaves) if len(leaves) == NARROW else None
        if root and start // NARROW == self._narrow:
            self._keep(root)
        if root and self.tree.size == start:
            self.tree.add_subtree(root, NARROW)
        else:
            self.tree.extend(leaves[max(0, self.tree.size - start) :])

    def _keep(self, root: bytes) -> None:
        self.new.append(Subtree(width=NARROW, number=self._narrow, root=root))
        self._narrow += 1
        self._roots.append(root)
        if self._narrow * NARROW % WIDE == 0:
            number = self._narrow * NARROW // WIDE - 1
            self.new.append(Subtree(width=WIDE, number=number, root=joined_root(self._roots)))
            self._roots = []


def tree_by_leaves(size: int, watch: Collection[int]) -> Tree:
    """The tree over the first `size` entries, every one of them read."""
    tree = Tree(watch)
    for leaves in _leaves(0, size):
        tree.extend(leaves)
    return tree


def tree_by_subtrees(size: int, watch: Collection[int]) -> Tree:
    """The same by the kept roots: only the subtrees with a watched leaf are opened, and those whose root is missing."""
    tree = Tree(watch)
    roots = _kept_roots(WIDE, range(size // WIDE))
    watched = {leaf // WIDE for leaf in watch}
    opened = _opened(
        [number for number in range(-(-size // WIDE)) if number in watched or number not in roots],
        size,
        {leaf // NARROW for leaf in watch},
    )
    for number in range(-(-size // WIDE)):
        if number in roots and number not in watched:
            tree.add_subtree(roots[number], WIDE)
            continue
        for part in next(opened):
            if isinstance(part, bytes):
                tree.add_subtree(part, NARROW)
            else:
                tree.extend(part)
    return tree


def _opened(wide: Sequence[int], size: int, watched: Collection[int]) -> Iterator[list[bytes | list[bytes]]]:
    """What each of these wide subtrees is made of: roots of narrow ones, and leaves where a narrow one is opened."""
    each = WIDE // NARROW
    last = -(-size // NARROW)
    for some in batched(wide, OPENED_AT_ONCE):
        inside = {number: range(number * each, min((number + 1) * each, last)) for number in some}
        narrow = [number for numbers in inside.values() for number in numbers]
        roots = _kept_roots(NARROW, [number for number in narrow if (number + 1) * NARROW <= size])
        closed = {number: root for number, root in roots.items() if number not in watched}
        leaves = _leaves_of([number for number in narrow if number not in closed], size)
        for numbers in inside.values():
            yield [closed.get(number) or leaves[number] for number in numbers]


def _kept_roots(width: int, numbers: Sequence[int]) -> dict[int, bytes]:
    if not numbers:
        return {}
    rows = Subtree.objects.filter(width=width)
    if isinstance(numbers, range):
        rows = rows.filter(number__gte=numbers[0], number__lte=numbers[-1])
    else:
        rows = rows.filter(number__in=numbers)
    return {number: bytes(root) for number, root in rows.values_list("number", "root")}


def _leaves_of(narrow: Iterable[int], size: int) -> dict[int, list[bytes]]:
    leaves: dict[int, list[bytes]] = {number: [] for number in narrow}
    places = [place for number in leaves for place in range(number * NARROW, min((number + 1) * NARROW, size))]
    for some in batched(places, BATCH):
        rows = Entry.objects.filter(seq__in=[place + 1 for place in some]).order_by("seq")
        for seq, leaf in rows.values_list("seq", "hash"):
            leaves[(seq - 1) // NARROW].append(bytes(leaf))
    return leaves


def _leaves(start: int, size: int) -> Iterator[list[bytes]]:
    """The hashes of the entries after number `start`, up to number `size`, many at a time."""
    for first in range(start, size, BATCH):
        rows = Entry.objects.filter(seq__gt=first, seq__lte=min(first + BATCH, size)).order_by("seq")
        yield [bytes(leaf) for leaf in rows.values_list("hash", flat=True)]
