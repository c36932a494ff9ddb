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
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from functools import lru_cache
from itertools import chain as chained
from typing import Any

from django.db import connection

from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.chain import Fault
from shopsafe.logbook.verification.batches import READ, batches
from shopsafe.logbook.verification.declared import ENTRY, MOMENT, Aspect, RecordTable, Since
from shopsafe.logbook.verification.older import Complete, Payload
from shopsafe.logbook.verification.record_faults import as_faults

# ((table, aspect), key, school, second, then the values of the columns)
type Fact = tuple[Any, ...]
type EntryReader = Callable[[Payload], Fact | None]

BUCKETS = 4096  # a power of two
LAST = BUCKETS - 1
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

    def add_entry(self, seq: int, header: bytes, payload: Payload) -> None:
        self._add(entry_facts(self._readers, seq, header, payload), 1)

    def take_off_rows(self, stack: ExitStack) -> None:
        for table in self.tables:
            for batch in batches(table.statement(connection.vendor), stack):
                self._add(row_facts(table, batch, self.since), -1)

    def _add(self, facts: Iterable[Fact], times: int) -> None:
        sums, key = self._sums, self._key
        for fact in facts:
            # Version 2 writes equal numbers and texts alike, whatever objects they are; later ones refer to objects.
            # Python's own hash of bytes is SipHash: keyed, and keyed once more by what stands before the fact.
            sums[hash(fact[1]) & LAST] += times * hash(key + marshal.dumps(fact, 2))

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
    for seq, header, payload in chained.from_iterable(batches(BODIES, stack)):
        for fact in entry_facts(readers, seq, bytes(header), READ(str(payload, "utf-8"))[0]):
            if bucket_of(fact) in buckets:
                stated[fact] += 1
                seqs[fact] = seq
    kept: Counter[Fact] = Counter()
    for table in tables:
        for batch in batches(table.statement(connection.vendor), stack):
            kept.update(fact for fact in row_facts(table, batch, since) if bucket_of(fact) in buckets)
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
    ident, key, needs, moment = (table.name, aspect.name), aspect.key, aspect.needs, aspect.moment
    unsaid = aspect.kinds[kind]
    getters = [unsaid.get(column.name, column.said) for column in aspect.columns]
    schooled = bool(table.school)

    def read(payload: Payload) -> Fact | None:
        if complete:
            completed = complete(kind, payload)
            if completed is None:
                return None
            payload = completed
        if needs:
            if needs not in payload:
                return None
            since.note(ident, payload[ENTRY])
        values = [getter(payload) for getter in getters]
        at = payload[MOMENT] if moment else ""
        return (ident, key(payload), payload["school_of_entry"] if schooled else None, at, *values)

    return read


def entry_facts(readers: dict[str, list[EntryReader]], seq: int, header: bytes, payload: Payload) -> list[Fact]:
    """What one entry says of records. One that was written again speaks for the entry that it restates."""
    # {"at":"2026-09-14T13:05:09Z","kind":"signoff.made","school":1,"version":1}, as chain.header_bytes writes it.
    at = header[AT].decode()
    kind, school = kind_and_school(header[chain.KIND_PLACE :])
    if kind == chain.RESTATED:
        restated = payload["restates"]
        seq, kind, at = restated["entry"], restated["kind"], restated["at"]
    if kind not in readers:
        return []
    payload[ENTRY], payload[MOMENT] = seq, at
    payload["school_of_entry"] = school
    return [fact for read in readers[kind] if (fact := read(payload)) is not None]


@lru_cache(4096)
def kind_and_school(said: bytes) -> tuple[str, int]:
    """Out of a header from the kind on: the same few for a million entries."""
    kind, _, rest = said.decode().partition('"')
    return kind, int(rest[len(SCHOOL) : rest.index(",", len(SCHOOL))])


def row_facts(table: RecordTable, rows: Iterable[tuple[Any, ...]], since: Since) -> Iterator[Fact]:
    plan, place = [], 3
    for aspect in table.aspects:
        stop = place + 1 + len(aspect.columns)
        readers = [(number, column.read) for number, column in enumerate(aspect.columns, 1) if column.read]
        plan.append(((table.name, aspect.name), place, stop, readers, bool(aspect.needs)))
        place = stop
    for row in rows:
        key, school, entry = row[:3]
        for ident, start, stop, readers, newer in plan:
            if row[start] is None or (newer and not since.covers(ident, entry)):
                continue
            values = row[start:stop]
            if readers:
                changed = list(values)
                for number, read in readers:
                    changed[number] = read(changed[number])
                values = tuple(changed)
            yield (ident, key, school, *values)
