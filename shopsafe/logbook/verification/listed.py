"""Holds what the logbook is searched by against what it says: the two projections, Listing and Subject.

They prove nothing, but pages and evidence files find entries through them: a row taken out of them would hide an entry.
Asked only once the chain is known to hold, and for the entries that were read then.
"""

from collections.abc import Callable
from contextlib import ExitStack
from typing import Any

from django.db import connection

from shopsafe.language.messages import _
from shopsafe.logbook.rules import subjects
from shopsafe.logbook.rules.chain import Fault
from shopsafe.logbook.verification.batches import READ, batches

# The header that a listing stands for, in the letters of chain.header_bytes.
HEADER = {
    "sqlite": """'{"at":"' || replace(substr(CAST(l.at AS TEXT), 1, 19), ' ', 'T') || 'Z","kind":"' || l.kind
        || '","school":' || l.school || ',"version":1}' IS NOT CAST(e.header AS TEXT)""",
    "postgresql": """'{"at":"' || to_char(l.at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS') || 'Z","kind":"' || l.kind
        || '","school":' || l.school || ',"version":1}' IS DISTINCT FROM convert_from(e.header, 'UTF8')""",
}
UNLISTED = """
    SELECT e.seq FROM logbook_entry e LEFT JOIN logbook_listing l ON l.seq = e.seq WHERE e.seq <= %s AND {differs}
    UNION ALL
    SELECT l.seq FROM logbook_listing l LEFT JOIN logbook_entry e ON e.seq = l.seq WHERE e.seq IS NULL
    ORDER BY 1 LIMIT 1
"""
BODIES = """
    SELECT e.seq, e.header, b.payload FROM logbook_entry e LEFT JOIN logbook_body b ON b.seq = e.seq
    WHERE e.seq <= %s ORDER BY e.seq
"""
# In the order of canonical payloads, whose keys are sorted: most batches are then equal as they come.
SUBJECTS = "SELECT seq, role, key FROM logbook_subject WHERE seq BETWEEN %s AND %s ORDER BY seq, role, key"
BESIDE = (
    "SELECT seq, role, key FROM logbook_subject WHERE seq NOT IN (SELECT seq FROM logbook_entry) ORDER BY seq LIMIT 1"
)
type See = Callable[[int, bytes, dict[str, Any]], None]
type Tell = Callable[[int], None]
ONE = """
    SELECT b.payload, s.role, s.key FROM logbook_entry e LEFT JOIN logbook_body b ON b.seq = e.seq
    LEFT JOIN logbook_subject s ON s.seq = e.seq WHERE e.seq = %s
"""


def listed_fault(size: int, stack: ExitStack, see: See, tell: Tell) -> Fault | None:
    """The first of the entries up to `size` that is not found by what it says, or is found by what it doesn't.

    `see` is shown each entry on the way, so that each is read from its JSON once; `tell` how many have been read.
    """
    for seq in (
        first_value(UNLISTED.format(differs=HEADER[connection.vendor]), size),
        first_value(BESIDE),
        first_missing(size, stack, see, tell),
    ):
        if seq is not None:
            return Fault(
                seq, "listing", _("Entry {entry} is not listed as what it is: a search may not find it.", entry=seq)
            )
    return None


def first_value(statement: str, *parameters: int) -> int | None:
    with connection.cursor() as cursor:
        cursor.execute(statement, parameters)
        row = cursor.fetchone()
    return row[0] if row else None


def first_missing(size: int, stack: ExitStack, see: See, tell: Tell) -> int | None:
    """The first entry whose subjects are not those its body names. Bounded memory; a million are read in one go, so
    the subjects of a batch are compared at once, and one by one only where they differ."""
    for batch in batches(BODIES, stack, [size]):
        named: list[tuple[int, str, str]] = []
        for seq, header, body in batch:
            if body is None:
                continue
            payload = READ(str(body, "utf-8"))[0]
            named += subjects.rows(seq, payload)
            see(seq, bytes(header), payload)
        with connection.cursor() as cursor:
            cursor.execute(SUBJECTS, [batch[0][0], batch[-1][0]])
            listed = cursor.fetchall()
        differing = set(named).symmetric_difference(listed) if named != listed else ()
        for seq in sorted({row[0] for row in differing}):
            if not listing_matches(seq):
                return int(seq)
        tell(batch[-1][0])
    return None


def read_payload(body: bytes | None) -> Any:
    return None if body is None else READ(str(body, "utf-8"))[0]


def subjects_named(body: bytes | None) -> set[tuple[str, str]]:
    payload = read_payload(body)
    return set() if payload is None else subjects.keys(payload)


def listing_matches(seq: int) -> bool:
    """One entry looked at alone: it may have been erased between the two readings."""
    with connection.cursor() as cursor:
        cursor.execute(ONE, [seq])
        listed_rows = cursor.fetchall()
    return {(role, key) for _, role, key in listed_rows if role is not None} == subjects_named(listed_rows[0][0])
