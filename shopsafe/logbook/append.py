"""The only place that writes entries: append(), inside the transaction of the act it records."""

import secrets
from datetime import datetime

from django.db import transaction

from shopsafe.logbook import chain, subjects
from shopsafe.logbook.models import Body, Entry, Listing, Subject

# Any fixed number does, as long as nothing else in the database takes an advisory lock on it.
LOCK = 0x5AFE_B00C


class NoTransaction(RuntimeError):
    """append() was called where the act and its entry could be stored apart."""


def append(*, kind: str, school: int, at: datetime, payload: dict) -> Entry:
    """Adds one entry and returns it. `school` is the school's primary key, `at` the moment of the act.

    `payload` names people and machines as {"id", "name"} at its top level and carries all that is needed to prove
    the act later. Raises NoTransaction outside a transaction, chain.Unwritable for a payload that can't be written,
    subjects.UnknownRole for someone named in an unknown role.
    """
    whole = chain.plain(payload)
    about = subjects.subjects(whole)
    header = chain.header_bytes(kind=kind, school=school, at=at)
    body, salt = chain.canonical(whole), secrets.token_bytes(chain.WIDTH)
    seq, prev = _tail()
    commitment = chain.commitment(salt, body)
    entry = Entry(
        seq=seq,
        prev=prev,
        header=header,
        commitment=commitment,
        hash=chain.entry_hash(seq, prev, header, commitment),
    )
    entry.save(force_insert=True)
    Body(entry=entry, salt=salt, payload=body).save(force_insert=True)
    Listing(entry=entry, school=school, kind=kind, at=at.replace(microsecond=0)).save(force_insert=True)
    Subject.objects.bulk_create(Subject(entry=entry, role=one.role, key=one.key) for one in sorted_subjects(about))
    return entry


def sorted_subjects(about: set[subjects.Subject]) -> list[subjects.Subject]:
    return sorted(about, key=lambda one: (one.role, one.key))


def hold_the_tail() -> None:
    """Nobody else appends until the transaction ends.

    SQLite's transaction began IMMEDIATE and is the only writer already. On PostgreSQL the lock is taken before the
    last entry is read, and UNIQUE(prev) stands behind it.
    """
    connection = transaction.get_connection()
    if not connection.in_atomic_block:
        raise NoTransaction("append() runs inside the transaction of the act that it records.")
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])


def _tail() -> tuple[int, bytes]:
    """The number of the next entry and the hash it follows."""
    hold_the_tail()
    last = Entry.objects.order_by("-seq").values_list("seq", "hash").first()
    return (last[0] + 1, bytes(last[1])) if last else (1, chain.FIRST_PREV)
