"""What is wrong with an entry, word by word, and that the quick look and the close look agree."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.chain import ChainLink, Fault

AT = datetime(2026, 9, 14, 13, 5, 9, tzinfo=UTC)


def link(seq: int, prev: bytes, *, kind: str = "signoff.made", said: dict[str, Any] | None = None) -> ChainLink:
    salt, payload = bytes([seq]) * 32, chain.canonical(said or {"number": seq})
    header = chain.header_bytes(kind=kind, school=1, at=AT)
    commitment = chain.commitment(salt, payload)
    return ChainLink(seq, prev, header, commitment, chain.entry_hash(seq, prev, header, commitment), salt, payload)


def links(count: int) -> list[ChainLink]:
    linked: list[ChainLink] = []
    for seq in range(1, count + 1):
        linked.append(link(seq, linked[-1].hash if linked else chain.FIRST_PREV))
    return linked


ONE, TWO, THREE = links(3)


def fault(changed: ChainLink) -> Fault | None:
    """What is wrong with it where entry 2 belongs."""
    return chain.fault_in(changed, 2, ONE.hash)


class TestFaultIn:
    def test_nothing_is_wrong_with_what_was_written(self) -> None:
        assert fault(TWO) is None
        assert chain.fault_in(ONE, 1, chain.FIRST_PREV) is None

    @pytest.mark.parametrize(
        ("changed", "code", "sentence"),
        [
            (THREE, "missing", "Entry 2 is missing: entry 3 is in its place."),
            (
                TWO._replace(prev=bytes(32)),
                "order",
                "Entry 2 does not follow the entry before it: it names another hash.",
            ),
            (
                TWO._replace(commitment=TWO.commitment[:31]),
                "commitment",
                "Entry 2 was changed: its commitment has the wrong length.",
            ),
            (
                TWO._replace(commitment=TWO.commitment + b"x"),
                "commitment",
                "Entry 2 was changed: its commitment has the wrong length.",
            ),
            (
                TWO._replace(header=ONE.header + b" "),
                "hash",
                "Entry 2 was changed: its header and commitment do not give its hash.",
            ),
            (
                TWO._replace(hash=ONE.hash),
                "hash",
                "Entry 2 was changed: its header and commitment do not give its hash.",
            ),
            (
                TWO._replace(payload=b"{}"),
                "body",
                "The body of entry 2 was changed: it does not give the entry's commitment.",
            ),
            (
                TWO._replace(salt=bytes(32)),
                "body",
                "The body of entry 2 was changed: it does not give the entry's commitment.",
            ),
            (
                TWO._replace(salt=bytes(31)),
                "body",
                "The body of entry 2 was changed: it does not give the entry's commitment.",
            ),
            (
                TWO._replace(salt=None, payload=None),
                "body missing",
                "The body of entry 2 is missing, and no entry says it was erased.",
            ),
            (
                TWO._replace(salt=None),
                "body missing",
                "The body of entry 2 is missing, and no entry says it was erased.",
            ),
            (
                TWO._replace(payload=None),
                "body missing",
                "The body of entry 2 is missing, and no entry says it was erased.",
            ),
            (
                TWO._replace(salt=None, payload=None, erased_by=2),
                "erasure",
                "The body of entry 2 is said to be erased by entry 2, before it.",
            ),
            (
                TWO._replace(salt=None, payload=None, erased_by=1),
                "erasure",
                "The body of entry 2 is said to be erased by entry 1, before it.",
            ),
            (
                TWO._replace(erased_by=3),
                "not erased",
                "Entry 3 says that the body of entry 2 was erased, but it is there.",
            ),
        ],
    )
    def test_names_the_entry_and_what_is_wrong(self, changed: ChainLink, code: str, sentence: str) -> None:
        assert fault(changed) == Fault(2, code, sentence)

    def test_an_erased_body_is_missed_by_no_one(self) -> None:
        assert fault(TWO._replace(salt=None, payload=None, erased_by=3)) is None


class TestErasureFault:
    ERASING = link(9, bytes(32), kind=chain.ERASED, said={"seqs": [2, 5, 7]})

    def test_says_nothing_where_all_is_as_it_says(self) -> None:
        assert chain.erasure_fault(self.ERASING, [7, 2, 5]) is None
        assert chain.erasure_fault(link(9, bytes(32), said={"reason": "none"}), []) is None

    @pytest.mark.parametrize(
        ("noted", "expected"),
        [
            ([2, 7], Fault(5, "not erased", "Entry 9 says that the body of entry 5 was erased; it was not.")),
            ([], Fault(2, "not erased", "Entry 9 says that the body of entry 2 was erased; it was not.")),
            (
                [1, 2, 5, 7],
                Fault(1, "erasure", "The body of entry 1 is noted as erased by entry 9, which says no such thing."),
            ),
            (
                [2, 5, 7, 8],
                Fault(8, "erasure", "The body of entry 8 is noted as erased by entry 9, which says no such thing."),
            ),
        ],
    )
    def test_names_the_first_that_differs(self, noted: list[int], expected: Fault) -> None:
        assert chain.erasure_fault(self.ERASING, noted) == expected

    def test_an_erasing_entry_keeps_its_own_body(self) -> None:
        bare = self.ERASING._replace(salt=None, payload=None)
        sentence = "Entry 9 says what was erased, and its own body is gone."
        assert chain.erasure_fault(bare, []) == Fault(9, "erased erasure", sentence)


CHANGES: list[Callable[[ChainLink], ChainLink]] = [
    lambda entry: entry._replace(seq=entry.seq + 1),
    lambda entry: entry._replace(prev=bytes(32)),
    lambda entry: entry._replace(header=entry.header + b" "),
    lambda entry: entry._replace(commitment=bytes(32)),
    lambda entry: entry._replace(hash=bytes(32)),
    lambda entry: entry._replace(salt=bytes(31)),
    lambda entry: entry._replace(salt=None, payload=None),
    lambda entry: entry._replace(payload=b"{}"),
    lambda entry: entry._replace(erased_by=9),
    lambda entry: entry._replace(salt=None, payload=None, erased_by=9),
    lambda entry: link(entry.seq, entry.prev, kind=chain.ERASED, said={"seqs": [1]}),
]


class TestIntactRun:
    def test_counts_what_goes_on_from_an_entry(self) -> None:
        assert chain.intact_run(links(5), 0, chain.FIRST_PREV) == 5
        assert chain.intact_run(links(5)[2:], 2, links(2)[1].hash) == 3
        assert chain.intact_run([], 7, bytes(32)) == 0

    def test_begins_only_where_it_belongs(self) -> None:
        assert chain.intact_run(links(5), 1, chain.FIRST_PREV) == 0
        assert chain.intact_run(links(5), 0, bytes([1]) * 32) == 0

    @given(st.integers(1, 6), st.sampled_from(CHANGES))
    def test_stops_before_whatever_needs_a_closer_look(
        self, place: int, change: Callable[[ChainLink], ChainLink]
    ) -> None:
        rows = links(7)
        rows[place] = change(rows[place])
        assert chain.intact_run(rows, 0, chain.FIRST_PREV) == place

    @given(st.integers(0, 6), st.sampled_from(CHANGES))
    def test_agrees_with_the_close_look(self, place: int, change: Callable[[ChainLink], ChainLink]) -> None:
        """What the quick look lets pass, the close look has nothing against."""
        rows = links(7)
        rows[place] = change(rows[place])
        run = chain.intact_run(rows, 0, chain.FIRST_PREV)
        prev = chain.FIRST_PREV
        for seq, row in enumerate(rows[:run], 1):
            assert chain.fault_in(row, seq, prev) is None
            assert not chain.is_erasing(row.header)
            prev = row.hash
