"""Kept roots: the tree by them is the tree over all leaves, few are read, and a changed root proves nothing wrong."""

import random
from collections.abc import Iterator

import pytest

from shopsafe.logbook import subtrees
from shopsafe.logbook.acts import take_checkpoint as acts
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.evidence import BrokenRecord, tree_of
from shopsafe.logbook.models import Checkpoint, Entry, Subtree
from shopsafe.logbook.rules.tree import root_of
from shopsafe.logbook.subtrees import tree_by_leaves, tree_by_subtrees
from tests.counting import queries
from tests.logbook.record import AT, sign_off

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def small_subtrees(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, width in (("NARROW", 2), ("WIDE", 8), ("BATCH", 4), ("OPENED_AT_ONCE", 2)):
        monkeypatch.setattr(subtrees, name, width)


def growing(*sizes: int) -> Iterator[Checkpoint]:
    """A checkpoint at each of these sizes."""
    before = 0
    for size in sizes:
        for number in range(before, size):
            sign_off(number)
        before = size
        yield take_checkpoint(at=AT)


def leaves(size: int) -> list[bytes]:
    return [bytes(leaf) for leaf in Entry.objects.order_by("seq").values_list("hash", flat=True)[:size]]


def test_trees_by_kept_roots_and_by_leaves_are_the_same() -> None:
    dice = random.Random(64)
    for mark in growing(1, 2, 3, 7, 8, 9, 16, 37, 38):
        assert bytes(mark.root) == root_of(leaves(mark.size))
        for count in (0, 1, 3, mark.size):
            watch = dice.sample(range(mark.size), min(count, mark.size))
            by_subtrees, by_leaves = tree_by_subtrees(mark.size, watch), tree_by_leaves(mark.size, watch)
            assert by_subtrees.root() == by_leaves.root() == bytes(mark.root)
            assert by_subtrees.paths() == by_leaves.paths()
            assert by_subtrees.peaks() == bytes(mark.peaks)


def test_every_full_subtree_is_kept_once() -> None:
    list(growing(3, 21, 38))
    kept = sorted(Subtree.objects.values_list("width", "number"))
    assert kept == [*((2, number) for number in range(19)), *((8, number) for number in range(4))]


def test_a_checkpoint_from_before_roots_were_kept_is_proved_as_well() -> None:
    first, last = growing(20, 37)
    Subtree.objects.all().delete()
    for mark in (first, last):
        assert tree_by_subtrees(mark.size, [3, 17]).paths() == tree_by_leaves(mark.size, [3, 17]).paths()
    sign_off(99)
    take_checkpoint(at=AT)
    assert Subtree.objects.count() == 19 + 4


def test_proving_one_entry_reads_the_same_of_a_small_logbook_and_a_large_one() -> None:
    asked, read = [], []
    for mark in growing(30, 62):
        with queries() as sent:
            tree_by_subtrees(mark.size, [5])
        asked.append(len(sent))
        opened = list(subtrees._opened([0], mark.size, {2}))
        read.append([len(part) for part in opened[0] if isinstance(part, list)])
    assert asked[0] == asked[1] == 3
    assert read == [[2], [2]]


def test_a_changed_root_is_passed_over_and_a_changed_entry_is_not() -> None:
    (mark,) = growing(37)
    paths = tree_by_leaves(mark.size, [9]).paths()
    Subtree.objects.filter(width=8, number=0).update(root=bytes(32))
    assert tree_by_subtrees(mark.size, [9]).root() != bytes(mark.root)
    assert tree_of(mark, [9]).paths() == paths
    mark.root = bytes(32)
    with pytest.raises(BrokenRecord, match="The first 37 entries"):
        tree_of(mark, [9])


def test_entries_of_the_meantime_are_covered(monkeypatch: pytest.MonkeyPatch) -> None:
    list(growing(5))
    hashing = subtrees.Growth.grow

    def grow(growth: subtrees.Growth, size: int) -> None:
        hashing(growth, size)
        if Entry.objects.count() < 9:  # someone acts while the rest is hashed
            for number in range(4):
                sign_off(50 + number)

    monkeypatch.setattr(acts.Growth, "grow", grow)
    mark = take_checkpoint(at=AT)
    assert mark.size == 9
    assert bytes(mark.root) == root_of(leaves(9))
    assert tree_by_subtrees(9, [6]).paths() == tree_by_leaves(9, [6]).paths()


def test_two_checkpoints_of_one_size_are_one() -> None:
    (first,) = growing(11)
    assert take_checkpoint(at=AT) == first
    assert Checkpoint.objects.count() == 1
