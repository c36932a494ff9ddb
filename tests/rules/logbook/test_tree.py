"""The tree over the logbook against RFC 6962: its published roots, and its definition word for word."""

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.logbook.rules.tree import Tree, full_root, root_by_path, root_of

# The leaves and roots of the test data of RFC 6962's reference implementation (certificate-transparency,
# merkle_tree_test: "kSHA256Roots"), for the tree hash of RFC 6962, section 2.1.
LEAVES = [
    bytes.fromhex(leaf)
    for leaf in [
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    ]
]
ROOTS = {
    0: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    1: "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    3: "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    8: "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
}

leaves = st.lists(st.binary(max_size=40), min_size=1, max_size=70)
hashes = st.binary(min_size=32, max_size=32)


def root_by_definition(data: list[bytes]) -> bytes:
    """RFC 6962, section 2.1, word for word: split at the largest power of two below n."""
    if not data:
        return hashlib.sha256(b"").digest()
    if len(data) == 1:
        return hashlib.sha256(b"\x00" + data[0]).digest()
    split = 1
    while split * 2 < len(data):
        split *= 2
    left, right = root_by_definition(data[:split]), root_by_definition(data[split:])
    return hashlib.sha256(b"\x01" + left + right).digest()


def path_by_definition(place: int, data: list[bytes]) -> list[bytes]:
    """RFC 6962, section 2.1.1, word for word."""
    if len(data) == 1:
        return []
    split = 1
    while split * 2 < len(data):
        split *= 2
    if place < split:
        return [*path_by_definition(place, data[:split]), root_by_definition(data[split:])]
    return [*path_by_definition(place - split, data[split:]), root_by_definition(data[:split])]


@pytest.mark.parametrize("size", ROOTS)
def test_published_roots(size: int) -> None:
    assert root_of(LEAVES[:size]).hex() == ROOTS[size]


@given(leaves)
def test_root_is_the_one_the_rfc_defines(data: list[bytes]) -> None:
    assert root_of(data) == root_by_definition(data)


@given(st.integers(0, 5000), st.lists(st.integers(0, 3000), max_size=4))
def test_many_at_a_time_make_the_same_tree(first: int, batches: list[int]) -> None:
    one_by_one, many = Tree(), Tree()
    for count, batch in enumerate([first, *batches]):
        hashed = [count.to_bytes(4, "big") + bytes([turn % 256]) for turn in range(batch)]
        for leaf in hashed:
            one_by_one.add(leaf)
        many.extend(hashed)
        assert (many.size, many.peaks(), many.root()) == (one_by_one.size, one_by_one.peaks(), one_by_one.root())


@given(leaves, st.data())
def test_many_at_a_time_collect_the_same_paths(data: list[bytes], draw: st.DataObject) -> None:
    watched = draw.draw(st.sets(st.integers(0, len(data) + 3)))
    tree = Tree(watched)
    tree.extend(data)
    assert tree.paths() == {place: path_by_definition(place, data) for place in watched if place < len(data)}


@given(st.integers(0, 40), st.integers(0, 3), leaves)
def test_takes_a_whole_subtree_by_its_root(blocks: int, height: int, rest: list[bytes]) -> None:
    width = 1 << height
    data = [number.to_bytes(2, "big") for number in range(blocks * width)]
    tree = Tree([len(data)])
    for start in range(0, len(data), width):
        tree.add_subtree(full_root(data[start : start + width]), width)
    tree.extend(rest)
    assert tree.root() == root_by_definition(data + rest)
    assert tree.paths() == ({len(data): path_by_definition(len(data), data + rest)} if rest else {})


@pytest.mark.parametrize(("size", "width", "watch"), [(1, 2, []), (2, 4, []), (0, 3, []), (4, 4, [6])])
def test_refuses_a_subtree_where_none_may_begin_or_a_path_would_be_lost(
    size: int, width: int, watch: list[int]
) -> None:
    tree = Tree(watch)
    tree.extend(LEAVES[:size])
    with pytest.raises(ValueError, match=f"No subtree of {width} leaves may begin at leaf {size}"):
        tree.add_subtree(bytes(32), width)


@given(leaves, st.data())
def test_goes_on_from_its_peaks(data: list[bytes], draw: st.DataObject) -> None:
    cut = draw.draw(st.integers(0, len(data)))
    first = Tree()
    for leaf in data[:cut]:
        first.add(leaf)
    second = Tree(size=cut, peaks=first.peaks())
    for leaf in data[cut:]:
        second.add(leaf)
    assert second.root() == root_by_definition(data)
    assert second.size == len(data)


@given(leaves, st.data())
def test_paths_are_the_ones_the_rfc_defines_and_lead_to_the_root(data: list[bytes], draw: st.DataObject) -> None:
    watched = draw.draw(st.sets(st.integers(0, len(data) - 1)))
    tree = Tree(watched)
    for leaf in data:
        tree.add(leaf)
    paths = tree.paths()
    assert paths == {place: path_by_definition(place, data) for place in watched}
    assert tree.paths() == paths
    for place, path in paths.items():
        assert root_by_path(data[place], place, len(data), path) == tree.root()


@given(st.lists(hashes, min_size=2, max_size=40, unique=True), st.data())
def test_no_other_leaf_place_size_or_path_leads_to_the_root(data: list[bytes], draw: st.DataObject) -> None:
    place = draw.draw(st.integers(0, len(data) - 1))
    other = draw.draw(st.integers(0, len(data) - 1).filter(lambda other: other != place))
    root, path = root_by_definition(data), path_by_definition(place, data)
    turned = draw.draw(st.integers(0, len(path) - 1))
    assert root_by_path(data[other], place, len(data), path) != root
    assert root_by_path(data[place], other, len(data), path) != root
    assert root_by_path(data[place], place, len(data), path[:-1]) != root
    assert root_by_path(data[place], place, len(data), [*path, bytes(32)]) != root
    bent = [*path[:turned], hashlib.sha256(path[turned]).digest(), *path[turned + 1 :]]
    assert root_by_path(data[place], place, len(data), bent) != root


@pytest.mark.parametrize(("place", "size"), [(0, 0), (1, 1), (-1, 1), (8, 8)])
def test_a_place_outside_the_tree_has_no_path(place: int, size: int) -> None:
    assert root_by_path(b"", place, size, []) is None


def test_a_path_too_short_or_too_long_leads_nowhere() -> None:
    path = path_by_definition(2, LEAVES)
    assert root_by_path(LEAVES[2], 2, 8, path[:-1]) is None
    assert root_by_path(LEAVES[2], 2, 8, [*path, bytes(32)]) is None
    assert root_by_path(LEAVES[0], 0, 1, [bytes(32)]) is None


@pytest.mark.parametrize(("size", "peaks"), [(1, b""), (0, bytes(32)), (3, bytes(32)), (2, bytes(33))])
def test_refuses_peaks_that_do_not_fit_the_size(size: int, peaks: bytes) -> None:
    with pytest.raises(ValueError, match=f"A tree of {size} leaves has {size.bit_count()} full subtrees"):
        Tree(size=size, peaks=peaks)
