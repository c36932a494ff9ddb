"""Holds every declared record against its entry, both ways: nothing is on record without an entry, and no entry without
its record.

Rows and entries are read once, in any order. Each is reduced to a fact, and each fact to a keyed digest: entries are
added up, rows are taken off. Where a sum is not zero, the records of that bucket are read again, one by one. The key is
drawn again for each reading, so that no one can make facts whose digests cancel out. A record written between two
readings is no fault: what is found must be found twice.
"""

import marshal
import secrets
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import ExitStack
from functools import lru_cache
from itertools import chain as chained
from itertools import repeat
from operator import itemgetter
from typing import Any

from django.db import connection

from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.chain import Fault
from shopsafe.logbook.verification.batches import batches, read_payload
from shopsafe.logbook.verification.declared import (
    ENTRY,
    MOMENT,
    Aspect,
    RecordTable,
    Since,
    always,
    compiled,
    expression,
    payload_value,
)
from shopsafe.logbook.verification.older import Complete, Payload
from shopsafe.logbook.verification.record_faults import as_faults

# ((table, aspect), key, school, second, then the values of the columns)
type Fact = tuple[Any, ...]
type RowReader = tuple[int, tuple[str, str] | None, Callable[..., Fact]]
type EntryReader = Callable[[int, Payload], Fact | None]

BUCKETS = 4096  # a power of two
LAST = BUCKETS - 1
KEY_OF = itemgetter(1)  # of a fact
ENTRY_PLACE = 2  # in a row: key, school, entry
AT, SCHOOL = slice(len('{"at":"'), len('{"at":"2026-09-14T13:05:09Z')), ',"school":'
# Of the buckets that differ, so many are looked into: memory stays bounded even if every record was changed.
LOOKED_INTO = 64
MOST_FAULTS = 50
BODIES = """
    SELECT e.seq, e.header, b.payload FROM logbook_entry e JOIN logbook_body b ON b.seq = e.seq ORDER BY e.seq
"""


class RecordSums:
    """Adds up what entries say, takes off what rows say, and finds the buckets that differ."""

    def __init__(self, tables: Sequence[RecordTable]) -> None:
        self.tables, self.since = tables, Since()
        self._readers = entry_readers(tables, self.since)
        self._sums = [0] * BUCKETS
        self._key = secrets.token_bytes(32)

    def add_entries(self, entries: Iterable[tuple[int, bytes, Payload]]) -> None:
        self._add(entry_facts(self._readers, entries), 1)

    def take_off_rows(self, stack: ExitStack) -> None:
        for table in self.tables:
            readers = row_readers(table)
            for batch in batches(table.statement(connection.vendor), stack):
                self._add(row_facts(readers, batch, self.since), -1)

    def _add(self, facts: Sequence[Fact], times: int) -> None:
        """Written as maps, since a million facts are added up in one go."""
        sums = self._sums
        # Version 2 writes equal numbers and texts alike, whatever objects they are; later ones refer to objects.
        # Python's own hash of bytes is SipHash: keyed, and keyed once more by what stands before the fact.
        digests = map(hash, map(self._key.__add__, map(marshal.dumps, facts, repeat(2))))
        for place, digest in zip(map(hash, map(KEY_OF, facts)), digests, strict=True):
            sums[place & LAST] += times * digest

    def differing(self) -> set[int]:
        return set([place for place, total in enumerate(self._sums) if total][:LOOKED_INTO])


def record_faults(sums: RecordSums, stack: ExitStack) -> tuple[Fault, ...]:
    """The records that do not say what their entries say, once all entries were added to the sums."""
    sums.take_off_rows(stack)
    buckets = sums.differing()
    if not buckets:
        return ()
    first, second = (unmatched(sums.tables, buckets, stack) for _ in range(2))
    rows, entries = (set(first[side]) & set(second[side]) for side in (0, 1))
    seqs = second[2]
    return tuple(as_faults(rows, {fact: seqs.get(fact, 0) for fact in entries}, sums.tables)[:MOST_FAULTS])


def unmatched(
    tables: Sequence[RecordTable], buckets: set[int], stack: ExitStack
) -> tuple[Counter[Fact], Counter[Fact], dict[Fact, int]]:
    """The facts of these buckets that only rows state, those that only entries state, and the entries of the latter."""
    since, seqs = Since(), {}
    readers = entry_readers(tables, since)
    stated: Counter[Fact] = Counter()
    for seq, header, body in chained.from_iterable(batches(BODIES, stack)):
        for fact in entry_facts(readers, [(seq, header, read_payload(body))]):
            if bucket_of(fact) in buckets:
                stated[fact] += 1
                seqs[fact] = seq
    kept: Counter[Fact] = Counter()
    for table in tables:
        row_reading = row_readers(table)
        for batch in batches(table.statement(connection.vendor), stack):
            kept.update(fact for fact in row_facts(row_reading, batch, since) if bucket_of(fact) in buckets)
    return kept - stated, stated - kept, seqs


def bucket_of(fact: Fact) -> int:
    """By key: what a row and an entry say of one record meets in one bucket."""
    return hash(fact[1]) & (BUCKETS - 1)


def entry_readers(tables: Iterable[RecordTable], since: Since) -> dict[str, list[EntryReader]]:
    readers: dict[str, list[EntryReader]] = {}
    for table in tables:
        for aspect in table.aspects:
            complete = aspect.older() if aspect.older else None
            for kind in aspect.kinds:
                readers.setdefault(kind, []).append(entry_reader(table, aspect, kind, since, complete))
    return readers


def entry_reader(table: RecordTable, aspect: Aspect, kind: str, since: Since, complete: Complete | None) -> EntryReader:
    ident, needs = (table.name, aspect.name), aspect.needs
    unsaid = aspect.kinds[kind]
    at = payload_value(MOMENT) if aspect.moment else always("")
    getters = [aspect.key, at, *(unsaid.get(column.name, column.stated) for column in aspect.columns)]
    names: dict[str, Any] = {"ident": ident}
    key, *values = [expression(getter, f"n{number}", names) for number, getter in enumerate(getters)]
    fact_of = compiled(["ident", key, "school" if table.school else "None", *values], "school, payload", names)

    def read(school: int, payload: Payload) -> Fact | None:
        try:
            return fact_of(school, payload)
        except (KeyError, TypeError, IndexError):  # a part of another form than expected
            key, *values = [getter(payload) for getter in getters]
            return (ident, key, school if table.school else None, *values)

    def read_older(school: int, payload: Payload) -> Fact | None:
        if complete:
            payload["school_of_entry"] = school
            completed = complete(kind, payload)
            if completed is None:
                return None
            payload = completed
        if needs:
            if needs not in payload:
                return None
            since.note(ident, payload[ENTRY])
        return read(school, payload)

    return read_older if complete or needs else read


def entry_facts(
    readers: Mapping[str, Sequence[EntryReader]], entries: Iterable[tuple[int, bytes, Payload]]
) -> list[Fact]:
    """What entries say of records. One that was written again speaks for the entry that it restates."""
    facts: list[Fact] = []
    for seq, header, payload in entries:
        kind, school = kind_and_school(header[chain.KIND_PLACE :])
        if kind == chain.RESTATED:
            restated = payload["restates"]
            kind, payload[ENTRY], payload[MOMENT] = restated["kind"], restated["entry"], restated["at"]
        else:
            # {"at":"2026-09-14T13:05:09Z","kind":"signoff.made","school":1,"version":1}, by chain.header_bytes
            payload[ENTRY], payload[MOMENT] = seq, header[AT].decode()
        for read in readers.get(kind, ()):
            if (fact := read(school, payload)) is not None:
                facts.append(fact)
    return facts


@lru_cache(4096)
def kind_and_school(header: bytes) -> tuple[str, int]:
    """Out of a header, from the kind on: the same few for a million entries."""
    kind, _, rest = header.decode().partition('"')
    return kind, int(rest[len(SCHOOL) : rest.index(",", len(SCHOOL))])


def row_facts(readers: Iterable[RowReader], rows: Sequence[tuple[Any, ...]], since: Since) -> list[Fact]:
    return [
        fact_of(row)
        for place, ident, fact_of in readers
        for row in rows
        if row[place] is not None and (ident is None or since.covers(ident, row[ENTRY_PLACE]))
    ]


def row_readers(table: RecordTable) -> list[RowReader]:
    """Of each aspect: the place of its moment in a row, its name if older entries leave it unsaid, and its fact."""
    plan, place = [], ENTRY_PLACE + 1
    for aspect in table.aspects:
        ident = (table.name, aspect.name)
        names: dict[str, Any] = {"ident": ident}
        parts = ["ident", "row[0]", "row[1]", f"row[{place}]"]
        for number, column in enumerate(aspect.columns, place + 1):
            names[f"read{number}"] = column.read
            parts.append(f"read{number}(row[{number}])" if column.read else f"row[{number}]")
        plan.append((place, ident if aspect.needs else None, compiled(parts, "row", names)))
        place += 1 + len(aspect.columns)
    return plan
