"""Sentences on records that do not say what their entries say. Each names the record and the entry."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from shopsafe.language.kept import together
from shopsafe.language.messages import _
from shopsafe.logbook.rules.chain import Fault
from shopsafe.logbook.verification.declared import RecordTable

type Fact = tuple[Any, ...]
SHOWN = 60


def as_faults(rows: Collection[Fact], entries: Mapping[Fact, int], tables: Sequence[RecordTable]) -> list[Fault]:
    """`rows` state what no entry states, `entries` (with the entry's number) what no row states."""
    columns = {
        (table.name, aspect.name): ("school", "moment", *(column.name for column in aspect.columns))
        for table in tables
        for aspect in table.aspects
    }
    of_rows, of_entries = grouped(rows), grouped(entries)
    faults = []
    for place in sorted({*of_rows, *of_entries}, key=str):
        kept, stated = of_rows.get(place, []), of_entries.get(place, [])
        for row, entry in zip(kept, stated, strict=False):
            faults.append(differing(row, entry, entries[entry], columns[row[0]]))
        faults.extend(without_entry(row) for row in kept[len(stated) :])
        faults.extend(without_record(entry, entries[entry]) for entry in stated[len(kept) :])
    return faults


def grouped(facts: Collection[Fact]) -> dict[tuple[Any, Any], list[Fact]]:
    groups: dict[tuple[Any, Any], list[Fact]] = defaultdict(list)
    for fact in sorted(facts, key=repr):
        groups[fact[0], fact[1]].append(fact)
    return groups


def called(fact: Fact) -> str:
    return f"{fact[0][0]} {fact[1]}"


def differing(row: Fact, entry: Fact, seq: int, columns: Sequence[str]) -> Fault:
    parts = [
        _(
            "{column} is {kept} in the record and {stated} in the entry",
            column=name.removesuffix("_id").replace("_", " "),
            kept=short(kept),
            stated=short(stated),
        )
        for name, kept, stated in zip(columns, row[2:], entry[2:], strict=True)
        if kept != stated
    ]
    sentence = _(
        "The {record} was changed: it does not say what entry {entry} says ({act}).",
        record=called(row),
        entry=seq,
        act=row[0][1],
    )
    how = _("Differences: {differences}.", differences=together(parts, "; "))
    return Fault(seq, "record changed", together([sentence, how]))


def without_entry(row: Fact) -> Fault:
    return Fault(
        0,
        "record without entry",
        _("The {record} says that it was {act}, and no entry of the logbook does.", record=called(row), act=row[0][1]),
    )


def without_record(entry: Fact, seq: int) -> Fault:
    return Fault(
        seq,
        "entry without record",
        _(
            "Entry {entry} says that the {record} was {act}, and the record does not.",
            entry=seq,
            record=called(entry),
            act=entry[0][1],
        ),
    )


def short(value: Any) -> str:
    text = _("empty") if value in (None, "") else str(value)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"
