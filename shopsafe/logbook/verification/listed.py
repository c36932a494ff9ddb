"""Holds what the logbook is searched by against what it says: the two projections, Listing and Subject.

They prove nothing, but pages and evidence files find entries through them: a row taken out of them would hide an entry.
Asked only once the chain is known to hold, and for the entries that were read then.
"""

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from itertools import batched
from typing import Any

import orjson
from django.db import OperationalError, connection

from shopsafe.language.messages import _
from shopsafe.logbook.rules import subjects
from shopsafe.logbook.rules.chain import Fault
from shopsafe.logbook.rules.listing import QUOTES, SubjectTexts
from shopsafe.logbook.verification.batches import batches, read_payload

# The header that a listing stands for, in the letters of chain.header_bytes.
HEADER = {
    "sqlite": """'{"at":"' || replace(substr(CAST(l.at AS TEXT), 1, 19), ' ', 'T') || 'Z","kind":"' || l.kind
        || '","school":' || l.school || ',"version":1}' IS NOT CAST(e.header AS TEXT)""",
    "postgresql": """'{"at":"' || to_char(l.at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS') || 'Z","kind":"' || l.kind
        || '","school":' || l.school || ',"version":1}' IS DISTINCT FROM convert_from(e.header, 'UTF8')""",
}
UNLISTED = """
    SELECT e.seq FROM logbook_entry e LEFT JOIN logbook_listing l ON l.seq = e.seq WHERE e.seq <= %s AND {differs}
    ORDER BY 1 LIMIT 1
"""
# Of the entries up to a number, each is there: only beyond them can a listing or a subject be of no entry.
BESIDE = [
    f"SELECT seq FROM {table} WHERE (seq < 1 OR seq > %s) AND seq NOT IN (SELECT seq FROM logbook_entry) "  # noqa: S608
    "ORDER BY seq LIMIT 1"
    for table in ("logbook_listing", "logbook_subject")
]
BODIES = """
    SELECT e.seq, e.header, b.payload FROM logbook_entry e LEFT JOIN logbook_body b ON b.seq = e.seq
    WHERE e.seq <= %s ORDER BY e.seq
"""
# In the order of canonical payloads, whose keys are sorted.
SUBJECTS = "SELECT seq, role, key FROM logbook_subject WHERE seq BETWEEN %s AND %s ORDER BY seq, role, key"
# The same as two texts of JSON, which is half of the work: most batches are equal as they come.
LISTED = {
    "sqlite": "SELECT json_group_array(seq), json_group_object(role, key) FROM "
    "(SELECT seq, role, key FROM logbook_subject WHERE seq BETWEEN %s AND %s ORDER BY seq, role, key)",
    "postgresql": "SELECT '[' || string_agg(CAST(seq AS text), ',' ORDER BY seq) || ']', "
    "'{' || string_agg(to_json(role) || ':' || to_json(key), ',' ORDER BY seq, role COLLATE \"C\", key COLLATE \"C\") "
    "|| '}' FROM logbook_subject WHERE seq BETWEEN %s AND %s",
}
# So many entries are held in memory as JSON says them: more are slower to work on.
AT_A_TIME = 16

type ReadEntry = tuple[int, bytes, dict[str, Any]]  # seq, header, payload
type See = Callable[[Sequence[ReadEntry]], None]
type Tell = Callable[[int], None]
ONE = """
    SELECT b.payload, s.role, s.key FROM logbook_entry e LEFT JOIN logbook_body b ON b.seq = e.seq
    LEFT JOIN logbook_subject s ON s.seq = e.seq WHERE e.seq = %s
"""


def listed_fault(size: int, stack: ExitStack, see: See, tell: Tell) -> Fault | None:
    """The first of the entries up to `size` that is not found by what it says, or is found by what it doesn't.

    `see` is shown all entries on the way, some at a time, so that each is read from its JSON once; `tell` how many have
    been read.
    """
    for statement in (UNLISTED.format(differs=HEADER[connection.vendor]), *BESIDE):
        seq = first_value(statement, size)
        if seq is not None:
            return not_listed(seq)
    subject_texts = SubjectTexts()
    for batch in batches(BODIES, stack, [size]):
        numbers: list[int] = []
        texts: list[str] = []
        for some in batched(batch, AT_A_TIME):
            entries, fault = read_entries(some)
            if fault:
                return fault
            more_numbers, more_texts = subject_texts.of(entries)
            numbers += more_numbers
            texts += more_texts
            see(entries)
        first, last = batch[0][0], batch[-1][0]
        listed = listed_texts(first, last)
        if as_listed(numbers, texts) != listed and (seq := first_differing(batch, first, last)):
            return not_listed(seq)
        tell(last)
    return None


def not_listed(seq: int) -> Fault:
    sentence = _("Entry {entry} is not listed as what it is: a search may not find it.", entry=seq)
    return Fault(seq, "listing", sentence)


def first_value(statement: str, *parameters: int) -> int | None:
    with connection.cursor() as cursor:
        cursor.execute(statement, parameters)
        row = cursor.fetchone()
    return row[0] if row else None


def read_entries(rows: Sequence[tuple[int, bytes, bytes | None]]) -> tuple[list[ReadEntry], Fault | None]:
    """The entries that have a body, and a fault if one of them holds no JSON object."""
    try:
        entries = [
            (seq, header, payload)
            for seq, header, body in rows
            if body is not None and type(payload := read_payload(body)) is dict
        ]
    except ValueError:
        entries = []
    return (entries, None) if len(entries) == len(rows) else read_one_by_one(rows)


def read_one_by_one(
    rows: Sequence[tuple[int, bytes, bytes | None]],
) -> tuple[list[ReadEntry], Fault | None]:
    entries: list[ReadEntry] = []
    for seq, header, body in rows:
        if body is None:
            continue
        try:
            payload = read_payload(body)
        except ValueError:
            payload = None
        if type(payload) is not dict:
            sentence = _("Entry {entry} was changed: its body can't be read.", entry=seq)
            return entries, Fault(seq, "unreadable", sentence)
        entries.append((seq, header, payload))
    return entries, None


def first_differing(batch: Sequence[tuple[int, bytes, bytes | None]], first: int, last: int) -> int | None:
    """The first entry of a batch that is not listed as what it is: the subjects are compared one by one."""
    entries = read_entries(batch)[0]
    named = {row for seq, _, payload in entries for row in subjects.rows(seq, payload)}
    differing = sorted({row[0] for row in named.symmetric_difference(listed_rows(first, last))})
    return next((seq for seq in differing if not listing_matches(seq)), None)


def as_listed(numbers: Sequence[int], texts: Sequence[str]) -> tuple[str, str] | None:
    """What `listed_texts` gives if these subjects are listed. None if a value would need an escape in JSON: without one
    it could stand for the end of one subject and the beginning of the next."""
    pairs = ",".join(texts)
    if pairs.count('"') != QUOTES * len(numbers) or "\\" in pairs:
        return None
    return orjson.dumps(numbers).decode(), f"{{{pairs}}}"


def listed_texts(first: int, last: int) -> tuple[str, str]:
    """The subjects of these entries as they are listed: the numbers of their entries, then roles with keys."""
    with connection.cursor() as cursor:
        try:
            cursor.execute(LISTED[connection.vendor], [first, last])
        except OperationalError:  # SQLite lets a column hold bytes, which JSON can't
            return "", ""
        numbers, pairs = cursor.fetchone()
    return numbers or "[]", pairs or "{}"


def listed_rows(first: int, last: int) -> list[tuple[int, str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(SUBJECTS, [first, last])
        return cursor.fetchall()


def subjects_named(body: bytes | None) -> set[tuple[str, str]]:
    return set() if body is None else subjects.keys(read_payload(body))


def listing_matches(seq: int) -> bool:
    """One entry looked at alone: it may have been erased between the two readings."""
    with connection.cursor() as cursor:
        cursor.execute(ONE, [seq])
        listed_rows = cursor.fetchall()
    return {(role, key) for _, role, key in listed_rows if role is not None} == subjects_named(listed_rows[0][0])
