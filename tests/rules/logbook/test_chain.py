"""The rules of the logbook against published values, and what must hold for any entry."""

import hashlib
import json
import time
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from uuid import UUID

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.logbook.rules import chain

hashes = st.binary(min_size=32, max_size=32)


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

    def test_is_read_back(self) -> None:
        header = chain.header_of(chain.header_bytes(kind="signoff.made", school=3, at=self.AT))
        assert header == chain.Header("signoff.made", self.AT.replace(microsecond=0), 3)

    @pytest.mark.parametrize("year", [1, 2026, 9999])
    def test_tells_an_erasing_entry_from_others(self, year: int) -> None:
        at = self.AT.replace(year=year)
        assert chain.is_erasing(chain.header_bytes(kind=chain.ERASED, school=1, at=at))
        for kind in ("logbook.erased_not", "logbook.erase", "not.logbook.erased", "signoff.made"):
            assert not chain.is_erasing(chain.header_bytes(kind=kind, school=1, at=at))

    def test_refuses_a_time_without_a_zone(self) -> None:
        with pytest.raises(ValueError, match=r"^A time in the logbook needs its zone\.$"):
            chain.header_bytes(kind="a.b", school=1, at=datetime(2026, 9, 14))

    def test_writes_utc_wherever_the_server_stands(self, monkeypatch: pytest.MonkeyPatch) -> None:
        with monkeypatch.context() as elsewhere:
            elsewhere.setenv("TZ", "Pacific/Auckland")
            time.tzset()
            assert chain.utc_second(self.AT) == "2026-09-14T13:05:09Z"
        time.tzset()

    @pytest.mark.parametrize(
        "kind", ["signoff", "Signoff.made", "signoff.", ".made", 'a.b"', "a b.c", "1a.b", "a.b\n", ""]
    )
    def test_header_refuses_a_kind_without_a_dotted_verb(self, kind: str) -> None:
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
        computed = chain.entry_hash(258, self.PREV, self.HEADER, self.SALT)
        bytes_hashed = b"e1" + b"\x00\x00\x00\x00\x00\x00\x01\x02" + self.PREV + self.HEADER + self.SALT
        assert computed == hashlib.sha256(bytes_hashed).digest()

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
