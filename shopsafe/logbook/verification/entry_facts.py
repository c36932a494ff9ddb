"""What entries say of records, as facts: what one kind of entry says of one aspect is one compiled expression."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from shopsafe.logbook.rules import chain
from shopsafe.logbook.verification.declared import (
    ENTRY,
    MOMENT,
    Aspect,
    Getter,
    RecordTable,
    Since,
    always,
    compiled,
    expression,
    is_plain,
    payload_value,
)
from shopsafe.logbook.verification.older import Complete, Payload

# ((table, aspect), key, school, second, then the values of the columns)
type Fact = tuple[Any, ...]
# Both of (school, seq, at, payload).
type Reader = Callable[[int, int, str, Payload], Fact]
type Sayer = Callable[[int, int, str, Payload], Iterable[Fact]]
# The compiled expression of an aspect, and what reads the same where a part has another form than expected.
type Readers = tuple[Reader, Reader]

AT, SCHOOL = slice(len('{"at":"'), len('{"at":"2026-09-14T13:05:09Z')), ',"school":'
# So many headers, from the kind on, are remembered: the same few for a million entries.
MOST_HEADERS = 4_096


class EntryFacts:
    """Reads the facts out of entries. Of an aspect that older entries leave unsaid, it notes the first that says it."""

    def __init__(self, tables: Iterable[RecordTable], since: Since) -> None:
        self._readers: dict[str, list[Readers]] = {}
        self._sayers: dict[str, list[Sayer]] = {chain.RESTATED: [self._restated]}
        self._by_header: dict[bytes, tuple[int, Sequence[Readers], Sequence[Sayer]]] = {}
        for table in tables:
            for aspect in table.aspects:
                complete = aspect.older() if aspect.older else None
                for kind in aspect.kinds:
                    self._add(table, aspect, kind, since, complete)

    def _add(self, table: RecordTable, aspect: Aspect, kind: str, since: Since, complete: Complete | None) -> None:
        getters = getters_of(aspect, kind)
        readers = compiled_reader(table, aspect, getters), careful_reader(table, aspect, getters)
        if aspect.needs or complete or not all(map(is_plain, getters)):
            say = older_sayer((table.name, aspect.name), aspect.needs, kind, since, complete, readers)
            self._sayers.setdefault(kind, []).append(say)
        else:
            self._readers.setdefault(kind, []).append(readers)

    def of(self, entries: Iterable[tuple[int, bytes, Payload]]) -> list[Fact]:
        """Of (seq, header, payload). Written flat, since a million entries are verified in one go."""
        by_header = self._by_header
        facts: list[Fact] = []
        for seq, header, payload in entries:
            # {"at":"2026-09-14T13:05:09Z","kind":"signoff.made","school":1,"version":1}, by chain.header_bytes
            rest, at = header[chain.KIND_PLACE :], header[AT].decode()
            school, all_readers, sayers = by_header.get(rest) or self._known(rest)
            for read, read_carefully in all_readers:
                try:
                    facts.append(read(school, seq, at, payload))
                except (KeyError, TypeError, IndexError):
                    facts.append(read_carefully(school, seq, at, payload))
            for say in sayers:
                facts += say(school, seq, at, payload)
        return facts

    def _known(self, rest: bytes) -> tuple[int, Sequence[Readers], Sequence[Sayer]]:
        """How entries with this header, from the kind on, are read, and their school."""
        kind, _, after = rest.decode().partition('"')
        school = int(after[len(SCHOOL) : after.index(",", len(SCHOOL))])
        known = school, self._readers.get(kind, ()), self._sayers.get(kind, ())
        if len(self._by_header) < MOST_HEADERS:
            self._by_header[rest] = known
        return known

    def _restated(self, school: int, seq: int, at: str, payload: Payload) -> Iterator[Fact]:
        """One that was written again speaks for the entry that it restates."""
        restated = payload["restates"]
        kind, seq, at = restated["kind"], restated["entry"], restated["at"]
        for _, read_carefully in self._readers.get(kind, ()):
            yield read_carefully(school, seq, at, payload)
        for say in self._sayers.get(kind, ()):
            yield from say(school, seq, at, payload)


def getters_of(aspect: Aspect, kind: str) -> list[Getter]:
    """Of the key, the moment and the columns."""
    unsaid = aspect.kinds[kind]
    at = payload_value(MOMENT) if aspect.moment else always("")
    return [aspect.key, at, *(unsaid.get(column.name, column.stated) for column in aspect.columns)]


def compiled_reader(table: RecordTable, aspect: Aspect, getters: Sequence[Getter]) -> Reader:
    names: dict[str, Any] = {"ident": (table.name, aspect.name)}
    key, *values = [expression(getter, f"n{number}", names) for number, getter in enumerate(getters)]
    parts = ["ident", key, "school" if table.school else "None", *values]
    return compiled(parts, "school, seq, at, payload", names)


def careful_reader(table: RecordTable, aspect: Aspect, getters: Sequence[Getter]) -> Reader:
    ident = (table.name, aspect.name)

    def read(school: int, seq: int, at: str, payload: Payload) -> Fact:
        payload[ENTRY], payload[MOMENT] = seq, at
        key, *values = [getter(payload) for getter in getters]
        return (ident, key, school if table.school else None, *values)

    return read


def older_sayer(
    ident: tuple[str, str], needs: str, kind: str, since: Since, complete: Complete | None, readers: Readers
) -> Sayer:
    """Reads also what asks for the number and the moment of its entry, and what older entries leave unsaid."""
    read, read_carefully = readers

    def say(school: int, seq: int, at: str, payload: Payload) -> Sequence[Fact]:
        payload[ENTRY], payload[MOMENT] = seq, at
        if complete:
            payload["school_of_entry"] = school
            completed = complete(kind, payload)
            if completed is None:
                return ()
            payload = completed
        if needs:
            if needs not in payload:
                return ()
            since.note(ident, seq)
        try:
            return (read(school, seq, at, payload),)
        except (KeyError, TypeError, IndexError):
            return (read_carefully(school, seq, at, payload),)

    return say
