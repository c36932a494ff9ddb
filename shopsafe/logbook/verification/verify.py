"""Reads the whole logbook and the records, and says what is wrong with it first, in bounded memory.

Seven things must hold: each entry follows the one before and gives its own hash; each body gives its entry's
commitment; a body is missing exactly where an `erased` entry names it; each checkpoint is the root over the entries
it covers; each entry is found by what it says (listed.py); every safety record says what its entry says, and the other
way round (records.py); the triggers stand as the program writes them (guards.py). A rewrite that fixes all of these,
checkpoints included, shows only against a checkpoint kept elsewhere: hand those in as `printed`.
"""

import heapq
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass

from django.db import connection, transaction

from shopsafe.language.kept import together
from shopsafe.language.messages import _, sentences_kept
from shopsafe.logbook.rules import chain, tree
from shopsafe.logbook.rules.chain import ChainLink, Fault
from shopsafe.logbook.verification import declared, guards
from shopsafe.logbook.verification.batches import batches
from shopsafe.logbook.verification.listed import listed_fault
from shopsafe.logbook.verification.records import RecordSums, record_faults

LINKS = """
    SELECT e.seq, e.prev, e.header, e.commitment, e.hash, b.salt, b.payload, r.by_id
    FROM logbook_entry e LEFT JOIN logbook_body b ON b.seq = e.seq LEFT JOIN logbook_erasure r ON r.seq = e.seq
    ORDER BY e.seq
"""
CHECKPOINTS = "SELECT size, root, peaks FROM logbook_checkpoint ORDER BY size"
NOTED = "SELECT seq FROM logbook_erasure WHERE by_id = %s"
# What belongs to no entry.
STRAY = """
    SELECT b.seq, 0 FROM logbook_body b LEFT JOIN logbook_entry e ON e.seq = b.seq WHERE e.seq IS NULL
    UNION ALL
    SELECT r.seq, r.by_id FROM logbook_erasure r LEFT JOIN logbook_entry e ON e.seq = r.seq WHERE e.seq IS NULL
    ORDER BY 1 LIMIT 1
"""

# So many faults of records are named in a sentence each.
NAMED = 10


@dataclass(frozen=True)
class CheckpointMark:
    """A checkpoint to hold the entries against. `peaks` is None for one that was read from paper, whose root may be cut
    short (rules/checkpoint_codes.py)."""

    size: int
    root: bytes
    peaks: bytes | None = None


@dataclass(frozen=True)
class Verdict:
    entries: int
    erased: int
    checkpoints: int
    head: bytes
    root: bytes
    fault: Fault | None
    unguarded: tuple[str, ...]
    records: tuple[Fault, ...] = ()

    @property
    def holds(self) -> bool:
        return self.fault is None and not self.unguarded and not self.records

    @property
    def says_wrong(self) -> str:
        """What is wrong, in sentences: a fault of the chain alone, else of records and triggers. Empty if none."""
        return together(self._sentences())

    def _sentences(self) -> Iterator[str]:
        if self.fault:
            yield self.fault.sentence
            return
        yield from (fault.sentence for fault in self.records[:NAMED])
        if len(self.records) > NAMED:
            yield _("And {count} more.", count=len(self.records) - NAMED)
        if self.unguarded:
            yield _(
                "The database no longer refuses every change: {unguarded}.", unguarded=together(self.unguarded, "; ")
            )


def nothing(read: int) -> None:
    """No one asks how far it is."""


@sentences_kept()  # what it finds is stored, and read in any language
def verify(printed: Iterable[CheckpointMark] = (), tell: Callable[[int], None] = nothing) -> Verdict:
    """`printed` are checkpoints kept outside the database, on a chart or an evidence file.

    `tell` is called on the way with how many entries have been read: each is read twice.
    """
    with ExitStack() as stack:
        if connection.vendor == "postgresql":
            # A cursor on the server lives in a transaction. SQLite must not have one: it would keep writers out.
            stack.enter_context(transaction.atomic())
        # The checkpoints are opened first: whatever they cover is then among the entries read after them.
        marks = heapq.merge(
            (CheckpointMark(*row) for batch in batches(CHECKPOINTS, stack) for row in batch),
            sorted(printed, key=lambda mark: mark.size),
            key=lambda mark: mark.size,
        )
        reading = ChainCheck(marks, tell)
        sums = RecordSums(tuple(declared.DECLARED.values()))
        fault = (
            reading.read(batches(LINKS, stack))
            or stray_fault()
            or listed_fault(reading.seq, stack, sums.add_entries, lambda read: tell(reading.seq + read))
        )
        # Where the logbook itself is broken, records can't be held against it.
        records = () if fault else record_faults(sums, stack)
    return Verdict(
        entries=reading.seq,
        erased=reading.erased,
        checkpoints=reading.checkpoints,
        head=reading.head,
        root=reading.tree.root(),
        fault=fault,
        unguarded=tuple(guards.trigger_faults()),
        records=records,
    )


class ChainCheck:
    """Follows the chain link by link, growing the tree beside it."""

    def __init__(self, marks: Iterator[CheckpointMark], tell: Callable[[int], None] = nothing) -> None:
        self._tell = tell
        self.seq, self.head, self.erased, self.checkpoints = 0, chain.FIRST_PREV, 0, 0
        self.tree = tree.Tree()
        self._marks = marks
        self._mark = next(marks, None)
        # The erased entries still to come that bodies were said to be erased by, with the first such body.
        self._awaited: dict[int, int] = {}

    def read(self, batches: Iterable[Sequence[tuple]]) -> Fault | None:
        """The first fault, after which nothing is read: what follows a break can't be judged."""
        fault = self._fault_at_marks()
        for batch in batches:
            if fault:
                break
            fault = self._fault_in_batch(batch)
            self._tell(self.seq)
        return fault or self._fault_after_the_last()

    def _fault_in_batch(self, batch: Sequence[tuple]) -> Fault | None:
        start = 0
        while start < len(batch):
            stop = min(len(batch), start + self._mark.size - self.seq) if self._mark else len(batch)
            run = self._intact_run(batch[start:stop])
            if run == 0:
                if fault := self._fault_in(ChainLink._make(batch[start])):
                    return fault
                run = 1
            self.tree.extend([row[4] for row in batch[start : start + run]])
            start += run
            self.seq, self.head = batch[start - 1][0], batch[start - 1][4]
            if fault := self._fault_at_marks():
                return fault
        return None

    def _intact_run(self, rows: Sequence[tuple]) -> int:
        try:
            return chain.intact_run(rows, self.seq, self.head)
        except TypeError:
            # A field that is no longer bytes: one by one, until it is found.
            return 0

    def _fault_in(self, link: ChainLink) -> Fault | None:
        seq = self.seq + 1
        try:
            fault = chain.fault_in(link, seq, self.head)
            if fault is None and chain.is_erasing(link.header):
                fault = chain.erasure_fault(link, noted_by(seq))
                self._awaited.pop(seq, None)
        except (AttributeError, TypeError, ValueError):
            # SQLite lets a column hold text where bytes were; and a forged entry may hold nonsense.
            return Fault(seq, "unreadable", _("Entry {entry} was changed: it can't be read as an entry.", entry=seq))
        if fault is None and link.erased_by is not None:
            self.erased += 1
            self._awaited.setdefault(link.erased_by, seq)
        return fault

    def _fault_at_marks(self) -> Fault | None:
        while self._mark and self._mark.size == self.seq:
            if not self._gives(self._mark):
                return Fault(
                    self.seq,
                    "checkpoint",
                    _(
                        "The first {size} entries are not those that the checkpoint of size {size} was taken of.",
                        size=self.seq,
                    ),
                )
            self.checkpoints += 1
            self._mark = next(self._marks, None)
        return None

    def _gives(self, mark: CheckpointMark) -> bool:
        """Whether these entries give the checkpoint. One from paper may be the beginning of the root alone."""
        if mark.peaks is None:
            return self.tree.root().startswith(mark.root)
        return mark.root == self.tree.root() and mark.peaks == self.tree.peaks()

    def _fault_after_the_last(self) -> Fault | None:
        if self._mark:
            return Fault(
                self.seq + 1,
                "cut",
                _(
                    "Entry {entry} is missing: a checkpoint covers {size}, {count} are there.",
                    entry=self.seq + 1,
                    size=self._mark.size,
                    count=self.seq,
                ),
            )
        for by, seq in sorted(self._awaited.items(), key=lambda pair: pair[1]):
            return Fault(
                seq,
                "erasure",
                _(
                    "The body of entry {entry} is noted as erased by entry {by}, which says no such thing.",
                    entry=seq,
                    by=by,
                ),
            )
        return None


def noted_by(seq: int) -> list[int]:
    with connection.cursor() as cursor:
        cursor.execute(NOTED, [seq])
        return [row[0] for row in cursor.fetchall()]


def stray_fault() -> Fault | None:
    with connection.cursor() as cursor:
        cursor.execute(STRAY)
        row = cursor.fetchone()
    if row is None:
        return None
    return Fault(row[0], "stray", _("There is a body or an erasure of entry {entry}, and no such entry.", entry=row[0]))
