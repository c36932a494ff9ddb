"""The Merkle tree over the logbook's hashes, exactly as RFC 6962, section 2.1, defines it.

    leaf = SHA-256(0x00 + hash of the entry)        node = SHA-256(0x01 + left + right)

Its root over the first n entries is what a checkpoint prints: it stands for every one of them.
"""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from hashlib import sha256

WIDTH = 32
BLOCK = 1024

# The root of a full subtree, and the watched leaves below it.
Peak = tuple[bytes, list[int]]


def leaf_hash(leaf: bytes) -> bytes:
    return sha256(b"\x00" + leaf).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    return sha256(b"\x01" + left + right).digest()


class Tree:
    """A tree that grows by leaves, in O(log n) memory.

    Only the roots of the full subtrees are kept, widest first. `watch` names leaves (from 0) whose inclusion
    paths are collected on the way.
    """

    def __init__(self, watch: Collection[int] = (), *, size: int = 0, peaks: bytes = b"") -> None:
        if len(peaks) != WIDTH * size.bit_count():
            raise ValueError(f"A tree of {size} leaves has {size.bit_count()} full subtrees.")
        self.size = size
        self._peaks: list[Peak] = [(peaks[start : start + WIDTH], []) for start in range(0, len(peaks), WIDTH)]
        self._watch = sorted(set(watch))
        self._paths: dict[int, list[bytes]] = {leaf: [] for leaf in self._watch}

    def add(self, leaf: bytes) -> None:
        self._push((leaf_hash(leaf), [self.size] if self._watches(1) else []), 1)

    def add_subtree(self, root: bytes, width: int) -> None:
        """`add` for `width` leaves, a power of two, by the root over them. None of them may be watched: a root has no
        paths. Raises ValueError where no such subtree may begin."""
        if width & (width - 1) or self.size % width or self._watches(width):
            raise ValueError(f"No subtree of {width} leaves may begin at leaf {self.size}.")
        self._push((root, []), width)

    def extend(self, leaves: Sequence[bytes]) -> None:
        """`add` for many. Whole subtrees are hashed level by level, which is several times as fast."""
        start = 0
        while start < len(leaves):
            width = self._block(len(leaves) - start)
            if width == 1 or self._watches(width):
                width = 1
                self.add(leaves[start])
            else:
                self._push((full_root(leaves[start : start + width]), []), width)
            start += width

    def _block(self, left: int) -> int:
        """The widest full subtree that begins at the next leaf and has at most `left` leaves."""
        widest = 1 << (left.bit_length() - 1)
        begins = self.size & -self.size or BLOCK
        return min(widest, begins, BLOCK)

    def _watches(self, width: int) -> bool:
        """Whether one of the next `width` leaves is watched."""
        return bisect_left(self._watch, self.size) != bisect_left(self._watch, self.size + width)

    def _push(self, peak: Peak, width: int) -> None:
        """Puts a full subtree of `width` leaves at the end, where one of that width may begin."""
        before = self.size // width
        while before & 1:
            peak = self._joined(self._paths, self._peaks.pop(), peak)
            before >>= 1
        self._peaks.append(peak)
        self.size += width

    def peaks(self) -> bytes:
        """What `Tree(size=, peaks=)` goes on from."""
        return b"".join(node for node, _ in self._peaks)

    def root(self) -> bytes:
        return self._folded({})

    def paths(self) -> dict[int, list[bytes]]:
        """The inclusion path of each watched leaf in the tree as it is, nearest sibling first."""
        paths = {leaf: list(path) for leaf, path in self._paths.items() if leaf < self.size}
        self._folded(paths)
        return paths

    def _folded(self, paths: dict[int, list[bytes]]) -> bytes:
        if not self._peaks:
            return sha256(b"").digest()
        right = self._peaks[-1]
        for left in reversed(self._peaks[:-1]):
            right = self._joined(paths, left, right)
        return right[0]

    @staticmethod
    def _joined(paths: dict[int, list[bytes]], left: Peak, right: Peak) -> Peak:
        for mine, sibling in ((left, right), (right, left)):
            for leaf in mine[1]:
                if leaf in paths:
                    paths[leaf].append(sibling[0])
        return node_hash(left[0], right[0]), left[1] + right[1]


def full_root(leaves: Iterable[bytes]) -> bytes:
    """The root over a power of two of leaves."""
    return joined_root([sha256(b"\x00" + leaf).digest() for leaf in leaves])


def joined_root(nodes: Sequence[bytes]) -> bytes:
    """The root over a power of two of nodes of one level."""
    level = nodes
    while len(level) > 1:
        level = [sha256(b"\x01" + left + right).digest() for left, right in zip(level[::2], level[1::2], strict=True)]
    return level[0]


def root_of(leaves: Iterable[bytes]) -> bytes:
    tree = Tree()
    for leaf in leaves:
        tree.add(leaf)
    return tree.root()


def root_by_path(leaf: bytes, place: int, size: int, path: Sequence[bytes]) -> bytes | None:
    """The root that `path` leads to from the leaf at `place` (from 0) of `size`; None if it can't be such a path.

    RFC 9162, section 2.1.3.2.
    """
    if not 0 <= place < size:
        return None
    node, here, last = leaf_hash(leaf), place, size - 1
    for sibling in path:
        if last == 0:
            return None
        if here & 1 or here == last:
            node = node_hash(sibling, node)
            while not here & 1 and here:
                here, last = here >> 1, last >> 1
        else:
            node = node_hash(node, sibling)
        here, last = here >> 1, last >> 1
    return node if last == 0 else None
