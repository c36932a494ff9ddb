"""The rules of the logbook against published values, and what must hold for any tree and any entry."""

import hashlib
import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from uuid import UUID

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.logbook import chain

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


class TestTree:
    @pytest.mark.parametrize("size", ROOTS)
    def test_published_roots(self, size: int) -> None:
        assert chain.root_of(LEAVES[:size]).hex() == ROOTS[size]

    @given(leaves)
    def test_root_is_the_one_the_rfc_defines(self, data: list[bytes]) -> None:
        assert chain.root_of(data) == root_by_definition(data)

    @given(leaves, st.data())
    def test_goes_on_from_its_peaks(self, data: list[bytes], draw: st.DataObject) -> None:
        cut = draw.draw(st.integers(0, len(data)))
        first = chain.Tree()
        for leaf in data[:cut]:
            first.add(leaf)
        second = chain.Tree(size=cut, peaks=first.peaks())
        for leaf in data[cut:]:
            second.add(leaf)
        assert second.root() == root_by_definition(data)
        assert second.size == len(data)

    @given(leaves, st.data())
    def test_paths_are_the_ones_the_rfc_defines_and_lead_to_the_root(
        self, data: list[bytes], draw: st.DataObject
    ) -> None:
        watched = draw.draw(st.sets(st.integers(0, len(data) - 1)))
        tree = chain.Tree(watched)
        for leaf in data:
            tree.add(leaf)
        paths = tree.paths()
        assert paths == {place: path_by_definition(place, data) for place in watched}
        assert tree.paths() == paths
        for place, path in paths.items():
            assert chain.root_by_path(data[place], place, len(data), path) == tree.root()

    @given(st.lists(hashes, min_size=2, max_size=40, unique=True), st.data())
    def test_no_other_leaf_place_size_or_path_leads_to_the_root(self, data: list[bytes], draw: st.DataObject) -> None:
        place = draw.draw(st.integers(0, len(data) - 1))
        other = draw.draw(st.integers(0, len(data) - 1).filter(lambda other: other != place))
        root, path = root_by_definition(data), path_by_definition(place, data)
        turned = draw.draw(st.integers(0, len(path) - 1))
        assert chain.root_by_path(data[other], place, len(data), path) != root
        assert chain.root_by_path(data[place], other, len(data), path) != root
        assert chain.root_by_path(data[place], place, len(data), path[:-1]) != root
        assert chain.root_by_path(data[place], place, len(data), [*path, bytes(32)]) != root
        bent = [*path[:turned], hashlib.sha256(path[turned]).digest(), *path[turned + 1 :]]
        assert chain.root_by_path(data[place], place, len(data), bent) != root

    @pytest.mark.parametrize(("place", "size"), [(0, 0), (1, 1), (-1, 1), (8, 8)])
    def test_a_place_outside_the_tree_has_no_path(self, place: int, size: int) -> None:
        assert chain.root_by_path(b"", place, size, []) is None

    def test_a_path_too_short_or_too_long_leads_nowhere(self) -> None:
        path = path_by_definition(2, LEAVES)
        assert chain.root_by_path(LEAVES[2], 2, 8, path[:-1]) is None
        assert chain.root_by_path(LEAVES[2], 2, 8, [*path, bytes(32)]) is None
        assert chain.root_by_path(LEAVES[0], 0, 1, [bytes(32)]) is None

    @pytest.mark.parametrize(("size", "peaks"), [(1, b""), (0, bytes(32)), (3, bytes(32)), (2, bytes(33))])
    def test_refuses_peaks_that_do_not_fit_the_size(self, size: int, peaks: bytes) -> None:
        with pytest.raises(ValueError, match=f"A tree of {size} leaves has {size.bit_count()} full subtrees"):
            chain.Tree(size=size, peaks=peaks)


class TestCanonical:
    def test_published_example(self) -> None:
        # RFC 8785, appendix and reference data ("arrays.json"): members sorted, no white space.
        assert chain.canonical([56, {"d": True, "10": None, "1": []}]) == b'[56,{"1":[],"10":null,"d":true}]'

    def test_sorts_by_utf_16_units(self) -> None:
        # RFC 8785, section 3.2.3: U+1F600 comes before U+FB33 although its code point is larger.
        value = json.loads('{"\\u20ac":1,"\\r":2,"\\ufb33":3,"1":4,"\\ud83d\\ude00":5,"\\u0080":6,"\\u00f6":7}')
        assert list(json.loads(chain.canonical(value)).values()) == [2, 4, 6, 7, 1, 5, 3]

    def test_writes_what_json_has_no_type_for_as_text(self) -> None:
        moment = datetime(2026, 9, 14, 8, 5, 9, 999999, tzinfo=timezone(timedelta(hours=-5)))
        value = {
            "gap": Decimal("0.1250"),
            "far": 2**53,
            "below": -(2**53),
            "near": 2**53 - 1,
            "at": moment,
            "day": date(2028, 2, 29),
            "id": UUID(int=5),
            "pairs": (1, [None, True, "x"]),
        }
        assert chain.plain(value) == {
            "gap": "0.1250",
            "far": "9007199254740992",
            "below": "-9007199254740992",
            "near": 9007199254740991,
            "at": "2026-09-14T13:05:09Z",
            "day": "2028-02-29",
            "id": "00000000-0000-0000-0000-000000000005",
            "pairs": [1, [None, True, "x"]],
        }

    @pytest.mark.parametrize(
        ("value", "says"),
        [
            ({"a": [{"gap": 0.1}]}, r"payload\.a\[0\]\.gap is a float; write it as text"),
            ({"a": {1, 2}}, r"payload\.a is a set"),
            ({"a": b"x"}, r"payload\.a is a bytes"),
            ({"a": {7: "x"}}, r"payload\.a has the key 7; keys are text"),
        ],
    )
    def test_refuses_what_has_no_one_text_and_names_the_place(self, value: object, says: str) -> None:
        with pytest.raises(chain.Unwritable, match=says):
            chain.plain(value)

    @given(
        st.recursive(
            st.none() | st.booleans() | st.integers() | st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
            lambda inner: (
                st.lists(inner, max_size=4) | st.dictionaries(st.text("abcé😀", max_size=3), inner, max_size=4)
            ),
            max_leaves=12,
        )
    )
    def test_reading_and_writing_again_gives_the_same_bytes(self, value: object) -> None:
        once = chain.canonical(chain.plain(value))
        assert rfc8785.dumps(json.loads(once)) == once


class TestHeader:
    AT = datetime(2026, 9, 14, 13, 5, 9, 123456, tzinfo=UTC)

    def test_bytes(self) -> None:
        header = chain.header_bytes(kind="signoff.made", school=3, at=self.AT)
        assert header == b'{"at":"2026-09-14T13:05:09Z","kind":"signoff.made","school":3,"version":1}'

    def test_an_instant_is_written_alike_in_every_zone(self) -> None:
        elsewhere = self.AT.astimezone(timezone(timedelta(hours=9, minutes=30)))
        assert chain.header_bytes(kind="a.b", school=1, at=elsewhere) == chain.header_bytes(
            kind="a.b", school=1, at=self.AT
        )

    def test_refuses_a_time_without_a_zone(self) -> None:
        with pytest.raises(ValueError, match="needs its zone"):
            chain.header_bytes(kind="a.b", school=1, at=datetime(2026, 9, 14))

    @pytest.mark.parametrize(
        "kind", ["signoff", "Signoff.made", "signoff.", ".made", 'a.b"', "a b.c", "1a.b", "a.b\n", ""]
    )
    def test_refuses_a_kind_that_is_no_dotted_verb(self, kind: str) -> None:
        with pytest.raises(ValueError, match="is no kind of entry"):
            chain.header_bytes(kind=kind, school=1, at=self.AT)

    def test_a_kind_has_at_most_sixty_letters(self) -> None:
        longest = "a." + "b" * 58
        assert longest.encode() in chain.header_bytes(kind=longest, school=1, at=self.AT)
        with pytest.raises(ValueError, match="is no kind of entry"):
            chain.header_bytes(kind=longest + "b", school=1, at=self.AT)


class TestHashes:
    SALT, PREV, HEADER = bytes(range(32)), bytes(range(32, 64)), b'{"kind":"a.b"}'

    def test_commitment_is_the_documented_bytes(self) -> None:
        assert chain.commitment(self.SALT, b"{}") == hashlib.sha256(b"c1" + self.SALT + b"{}").digest()

    def test_hash_is_the_documented_bytes(self) -> None:
        made = chain.entry_hash(258, self.PREV, self.HEADER, self.SALT)
        bytes_hashed = b"e1" + b"\x00\x00\x00\x00\x00\x00\x01\x02" + self.PREV + self.HEADER + self.SALT
        assert made == hashlib.sha256(bytes_hashed).digest()

    def test_the_first_entry_follows_32_zero_bytes(self) -> None:
        assert bytes(32) == chain.FIRST_PREV

    @pytest.mark.parametrize("width", [0, 31, 33])
    def test_refuses_fields_of_another_width(self, width: int) -> None:
        wrong = bytes(width)
        with pytest.raises(ValueError, match=f"The salt is {width} bytes long, not 32"):
            chain.commitment(wrong, b"{}")
        with pytest.raises(ValueError, match=f"The hash before is {width} bytes long, not 32"):
            chain.entry_hash(1, wrong, self.HEADER, self.SALT)
        with pytest.raises(ValueError, match=f"The commitment is {width} bytes long, not 32"):
            chain.entry_hash(1, self.PREV, self.HEADER, wrong)

    @given(
        st.tuples(st.integers(1, 2**40), hashes, st.binary(max_size=60), hashes),
        st.tuples(st.integers(1, 2**40), hashes, st.binary(max_size=60), hashes),
    )
    def test_two_entries_share_a_hash_only_if_they_are_one(
        self, one: tuple[int, bytes, bytes, bytes], other: tuple[int, bytes, bytes, bytes]
    ) -> None:
        assert (chain.entry_hash(*one) == chain.entry_hash(*other)) == (one == other)
