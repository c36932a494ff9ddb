"""Holds every declared record against its entry, both ways: nothing is on record without an entry, and no entry without
its record.

Rows and entries are read once, in any order. Each is reduced to a fact, and each fact to a keyed digest: entries are
added up, and rows. Where the two sums differ, the records of that bucket are read again, one by one. The key is drawn
again for each reading, so that no one can make facts whose digests cancel out. A record written between two readings is
no fault: what is found must be found twice.
"""

import marshal
import secrets
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from itertools import chain as chained
from itertools import repeat
from operator import itemgetter
from typing import Any

from django.db import connection

from shopsafe.logbook.rules.chain import Fault
from shopsafe.logbook.verification.batches import batches, read_payload
from shopsafe.logbook.verification.declared import RecordTable, Since, compiled
from shopsafe.logbook.verification.entry_facts import EntryFacts, Fact
from shopsafe.logbook.verification.older import Payload
from shopsafe.logbook.verification.record_faults import as_faults

type RowReader = tuple[int, tuple[str, str] | None, Callable[..., Fact]]
BUCKETS = 4096  # a power of two
LAST = BUCKETS - 1
KEY_OF = itemgetter(1)  # of a fact
ENTRY_PLACE = 2  # in a row: key, school, entry
# Of the buckets that differ, so many are looked into: memory stays bounded even if every record was changed.
LOOKED_INTO = 64
MOST_FAULTS = 50
BODIES = """
    SELECT e.seq, e.header, b.payload FROM logbook_entry e JOIN logbook_body b ON b.seq = e.seq ORDER BY e.seq
"""


class RecordSums:
    """Adds up what entries say and what rows say, and finds the buckets that differ."""

    def __init__(self, tables: Sequence[RecordTable]) -> None:
        self.tables, self.since = tables, Since()
        self._facts = EntryFacts(tables, self.since)
        self._stated, self._kept = [0] * BUCKETS, [0] * BUCKETS
        self._key = secrets.token_bytes(32)

    def add_entries(self, entries: Iterable[tuple[int, bytes, Payload]]) -> None:
        self._add(self._facts.of(entries), self._stated)

    def add_rows(self, stack: ExitStack) -> None:
        for table in self.tables:
            readers = row_readers(table)
            for batch in batches(table.statement(connection.vendor), stack):
                self._add(row_facts(readers, batch, self.since), self._kept)

    def _add(self, facts: Sequence[Fact], sums: list[int]) -> None:
        """Written as maps, since a million facts are added up in one go."""
        # Version 2 writes equal numbers and texts alike, whatever objects they are; later ones refer to objects.
        # Python's own hash of bytes is SipHash: keyed, and keyed once more by what stands before the fact.
        digests = map(hash, map(self._key.__add__, map(marshal.dumps, facts, repeat(2))))
        for place, digest in zip(map(hash, map(KEY_OF, facts)), digests, strict=True):
            sums[place & LAST] += digest

    def differing(self) -> set[int]:
        pairs = zip(self._stated, self._kept, strict=True)
        return set([place for place, (stated, kept) in enumerate(pairs) if stated != kept][:LOOKED_INTO])


def record_faults(sums: RecordSums, stack: ExitStack) -> tuple[Fault, ...]:
    """The records that do not say what their entries say, once all entries were added to the sums."""
    sums.add_rows(stack)
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
    facts = EntryFacts(tables, since)
    stated: Counter[Fact] = Counter()
    for seq, header, body in chained.from_iterable(batches(BODIES, stack)):
        for fact in facts.of([(seq, header, read_payload(body))]):
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
