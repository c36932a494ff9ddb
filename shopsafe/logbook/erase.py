"""The only place that takes bodies out of the record: erase(), inside the transaction of the act that asks for it.

What an entry said goes; that something was written there, of what kind and when, stays, and the chain still verifies.
"""

import json
from collections.abc import Collection, Iterator
from datetime import datetime
from typing import Any

from shopsafe.logbook.append import append, lock_last_entry
from shopsafe.logbook.models import Body, Entry, Erasure, Subject
from shopsafe.logbook.queries import subject_entries
from shopsafe.logbook.rules import chain, subjects

# How a text reads where the name of someone erased stood in it.
UNNAMED = "(erased)"
BATCH = 500


def erase(*, key: str, names: Collection[str], school: int, at: datetime, payload: dict[str, Any]) -> Entry | None:
    """Erases what the logbook says of `key`; the new entry that says so, or None where nothing was said.

    `payload` is who asked and why; the numbers of the entries are put in here. An entry that is about others too is
    written again, without `key` and without `names`, so that no one else loses what is on record about them.
    """
    lock_last_entry()
    entries = subject_entries(key)
    if not entries.seqs:
        return None
    restated = [*restatements(entries.shared, key, names)]
    erased_entry = append(kind=chain.ERASED, school=school, at=at, payload={**payload, "seqs": entries.seqs})
    Erasure.objects.bulk_create((Erasure(entry_id=seq, by=erased_entry) for seq in entries.seqs), batch_size=BATCH)
    for start in range(0, len(entries.seqs), BATCH):
        seqs = entries.seqs[start : start + BATCH]
        Body.objects.filter(pk__in=seqs).delete()
        Subject.objects.filter(entry__in=seqs).delete()
    for restatement in restated:
        append(kind=chain.RESTATED, school=school, at=at, payload=restatement)
    return erased_entry


def restatements(seqs: Collection[int], key: str, names: Collection[str]) -> Iterator[dict[str, Any]]:
    """What each of these entries said, without the subject, and which entry it was."""
    rows = Body.objects.filter(pk__in=seqs).select_related("entry").order_by("pk")
    for body in rows:
        header = chain.header_of(bytes(body.entry.header))
        restates = {"entry": body.pk, "kind": header.kind, "at": header.at}
        remaining = subjects.without(json.loads(bytes(body.payload)), key)
        # An entry that was written again once already keeps the number it had first.
        yield {"restates": restates} | without_person(remaining, names)


def without_person(value: Any, names: Collection[str]) -> Any:
    """`value` with UNNAMED for each of the names in every text; the longest first, since one may begin another."""
    match value:
        case str():
            for name in sorted(names, key=len, reverse=True):
                value = value.replace(name, UNNAMED)
            return value
        case dict():
            return {key: without_person(item, names) for key, item in value.items()}
        case list():
            return [without_person(item, names) for item in value]
    return value
