"""The only place that writes entries: append(), inside the transaction of the act it records."""

import secrets
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.backends.utils import CursorWrapper

from shopsafe.act import Turn, take_turn
from shopsafe.logbook.models import Entry
from shopsafe.logbook.rules import chain, subjects

# Any fixed number does, as long as nothing else in the database takes an advisory lock on it.
LOCK = 0x5AFE_B00C

# Plain SQL: every act waits for this, and it is measured against a bare write to the disk.
LAST = "SELECT seq, hash FROM logbook_entry ORDER BY seq DESC LIMIT 1"
ENTRY = "INSERT INTO logbook_entry (seq, prev, header, commitment, hash) VALUES (%s, %s, %s, %s, %s)"
BODY = "INSERT INTO logbook_body (seq, salt, payload) VALUES (%s, %s, %s)"
LISTING = "INSERT INTO logbook_listing (seq, school, kind, at) VALUES (%s, %s, %s, %s)"
SUBJECT = "INSERT INTO logbook_subject (seq, role, key) VALUES (%s, %s, %s)"


class NoTransaction(RuntimeError):
    """append() was called where the act and its entry could be stored apart."""


def append(*, kind: str, school: int, at: datetime, payload: dict) -> Entry:
    """Adds one entry and returns it. `school` is the school's primary key, `at` the moment of the act.

    The entry says the second of it, its listing the microsecond, which the next act comes after.
    `payload` names people and machines as {"id", "name"} at its top level and carries all that is needed to prove
    the act later. Raises NoTransaction outside a transaction, chain.Unwritable for a payload that can't be written,
    subjects.UnknownRole for someone named in an unknown role.
    """
    return append_all(school=school, at=at, entries=[(kind, payload)])[0]


def append_all(*, school: int, at: datetime, entries: Sequence[tuple[str, dict]]) -> list[Entry]:
    """`append` for the entries, (kind, payload), that one act makes at one moment: so many statements as for one."""
    kinds = [kind for kind, _ in entries]
    headers = {kind: chain.header_bytes(kind=kind, school=school, at=at) for kind in set(kinds)}
    whole = [chain.plain(payload) for _, payload in entries]
    about = [subjects.subjects(payload) for payload in whole]
    bodies = [(secrets.token_bytes(chain.WIDTH), chain.canonical(payload)) for payload in whole]
    lock_last_entry()
    with transaction.get_connection().cursor() as cursor:
        first, prev = tail(cursor)
        links = []
        for seq, (kind, (salt, body)) in enumerate(zip(kinds, bodies, strict=True), first):
            header, commitment = headers[kind], chain.commitment(salt, body)
            hashed = chain.entry_hash(seq, prev, header, commitment)
            links.append((seq, prev, header, commitment, hashed))
            prev = hashed
        listed = cursor.db.ops.adapt_datetimefield_value(at)
        cursor.executemany(ENTRY, links)
        cursor.executemany(BODY, [(seq, *body) for seq, body in enumerate(bodies, first)])
        cursor.executemany(LISTING, [(seq, school, kind, listed) for seq, kind in enumerate(kinds, first)])
        cursor.executemany(
            SUBJECT, [(seq, subject.role, subject.key) for seq, some in enumerate(about, first) for subject in some]
        )
    columns = ("seq", "prev", "header", "commitment", "hash")
    return [Entry(**dict(zip(columns, link, strict=True))) for link in links]


def lock_last_entry() -> None:
    """No one else appends until the transaction ends.

    SQLite's transaction began IMMEDIATE and is the only writer already. On PostgreSQL the lock is taken before the
    last entry is read, and UNIQUE(prev) stands behind it.
    """
    connection = transaction.get_connection()
    if not connection.in_atomic_block:
        raise NoTransaction("append() runs inside the transaction of the act that it records.")
    take_turn(Turn.LOGBOOK)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])


def tail(cursor: CursorWrapper) -> tuple[int, bytes]:
    """The number of the next entry and the hash it follows."""
    cursor.execute(LAST)
    last = cursor.fetchone()
    return (last[0] + 1, bytes(last[1])) if last else (1, chain.FIRST_PREV)
