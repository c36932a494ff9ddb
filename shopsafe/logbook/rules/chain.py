"""The rules of the logbook: canonical bytes, commitments, the chain of hashes. The tree over it is in tree.py.

Encodings. Everything hashed is a tag, then fields that can be taken apart in one way only:

    commitment = SHA-256("c1" + salt + payload)                  salt 32 bytes, payload the rest
    hash       = SHA-256("e1" + seq + prev + header + commitment) seq 8 bytes big-endian, prev and commitment 32

`header` and `payload` are canonical JSON (RFC 8785). One field in each hash has no fixed width, so the widths of
the others are part of the rule and are checked: a byte moved across a border must not give the same hash.
"""

import json
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any, NamedTuple
from uuid import UUID

import rfc8785

from shopsafe.language.messages import _

VERSION = 1
WIDTH = 32
FIRST_PREV = bytes(WIDTH)
ERASED = "logbook.erased"
RESTATED = "logbook.restated"
# Where the kind begins in a header: the time before it always has the same length.
KIND_PLACE = len(b'{"at":"2026-09-14T13:05:09Z","kind":"')
ERASING = ERASED.encode() + b'"'
KIND = re.compile(r"[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)+")
KIND_MAX = 60
SAFE_INTEGER = 2**53 - 1


class Unwritable(TypeError):
    """A payload holds something the logbook can't write the same way twice."""


def plain(value: object, path: str = "payload") -> Any:
    """`value` in the types of JSON. Decimals, dates, UUIDs and integers beyond 2^53 become strings.

    Raises Unwritable, naming the place, for anything else: a binary float has no one decimal text.
    """
    match value:
        case None | bool() | str():
            return value
        case int():
            return value if abs(value) <= SAFE_INTEGER else str(value)
        case Decimal() | UUID():
            return str(value)
        case datetime():
            return utc_second(value)
        case date():
            return value.isoformat()
        case dict():
            return {key_text(key, path): plain(item, f"{path}.{key}") for key, item in value.items()}
        case list() | tuple():
            return [plain(item, f"{path}[{place}]") for place, item in enumerate(value)]
    raise Unwritable(f"{path} is a {type(value).__name__}; write it as text.")


def key_text(key: object, path: str) -> str:
    if not isinstance(key, str):
        raise Unwritable(f"{path} has the key {key!r}; keys are text.")
    return key


def canonical(value: Any) -> bytes:
    """RFC 8785 bytes: the same value always gives the same bytes."""
    return rfc8785.dumps(value)


def utc_second(at: datetime) -> str:
    """The UTC second, as 2026-09-14T13:05:09Z. Raises ValueError for a time without a zone."""
    if at.tzinfo is None:
        raise ValueError("A time in the logbook needs its zone.")
    return at.astimezone(UTC).replace(microsecond=0, tzinfo=None).isoformat() + "Z"


def header_bytes(*, kind: str, school: int, at: datetime) -> bytes:
    """What is said of an entry forever: what kind, when, in which school. No person."""
    if not KIND.fullmatch(kind) or len(kind) > KIND_MAX:
        raise ValueError(f"{kind!r} is no kind of entry: lower-case words joined by dots, as in signoff.made.")
    return canonical({"at": utc_second(at), "kind": kind, "school": school, "version": VERSION})


def is_erasing(header: bytes) -> bool:
    return header.startswith(ERASING, KIND_PLACE)


def wide(name: str, value: bytes) -> bytes:
    if len(value) != WIDTH:
        raise ValueError(f"The {name} is {len(value)} bytes long, not {WIDTH}.")
    return value


def commitment(salt: bytes, payload: bytes) -> bytes:
    return sha256(b"c1" + wide("salt", salt) + payload).digest()


def entry_hash(seq: int, prev: bytes, header: bytes, commitment: bytes) -> bytes:
    before = b"e1" + seq.to_bytes(8, "big") + wide("hash before", prev)
    return sha256(before + header + wide("commitment", commitment)).digest()


@dataclass(frozen=True)
class Header:
    kind: str
    at: datetime
    school: int


def header_of(header: bytes) -> Header:
    """What `header_bytes` wrote."""
    fields = json.loads(header)
    return Header(fields["kind"], datetime.fromisoformat(fields["at"]), fields["school"])


class ChainLink(NamedTuple):
    """One entry as it is stored, its body where it still has one, and the entry that says the body was erased."""

    seq: int
    prev: bytes
    header: bytes
    commitment: bytes
    hash: bytes
    salt: bytes | None = None
    payload: bytes | None = None
    erased_by: int | None = None


@dataclass(frozen=True)
class Fault:
    """The first thing found wrong, with the entry it was found at."""

    seq: int
    code: str
    sentence: str


def intact_run(rows: Sequence[tuple[Any, ...]], seq: int, prev: bytes) -> int:
    """How many of `rows` (fields as in Link), from the first on, continue the chain after entry `seq`, with a body.

    Stops where `fault_in` finds something, and also at an erased body and at an erasing entry, which need a closer
    look. Written flat, since a million are read in one go.
    """
    for place, (number, before, header, promised, hashed, salt, payload, by) in enumerate(rows):
        seq += 1
        if (
            number != seq
            or before != prev
            or by is not None
            or not salt
            or len(salt) != WIDTH
            or sha256(b"c1" + salt + payload).digest() != promised
            or sha256(b"".join((b"e1", seq.to_bytes(8, "big"), prev, header, promised))).digest() != hashed
            or header.startswith(ERASING, KIND_PLACE)
        ):
            return place
        prev = hashed
    return len(rows)


def fault_in(link: ChainLink, seq: int, prev: bytes) -> Fault | None:
    """What is wrong with `link` where entry `seq`, following the hash `prev`, belongs."""
    return link_fault(link, seq, prev) or body_fault(link)


def link_fault(link: ChainLink, seq: int, prev: bytes) -> Fault | None:
    if link.seq != seq:
        return Fault(
            seq, "missing", _("Entry {entry} is missing: entry {other} is in its place.", entry=seq, other=link.seq)
        )
    if link.prev != prev:
        return Fault(
            seq, "order", _("Entry {entry} does not follow the entry before it: it names another hash.", entry=seq)
        )
    if len(link.commitment) != WIDTH:
        return Fault(seq, "commitment", _("Entry {entry} was changed: its commitment has the wrong length.", entry=seq))
    if entry_hash(seq, prev, link.header, link.commitment) != link.hash:
        return Fault(
            seq, "hash", _("Entry {entry} was changed: its header and commitment do not give its hash.", entry=seq)
        )
    return None


def body_fault(link: ChainLink) -> Fault | None:
    seq, by = link.seq, link.erased_by
    if link.salt is None or link.payload is None:
        if by is None:
            return Fault(
                seq,
                "body missing",
                _("The body of entry {entry} is missing, and no entry says it was erased.", entry=seq),
            )
        if by <= seq:
            return Fault(
                seq,
                "erasure",
                _("The body of entry {entry} is said to be erased by entry {by}, before it.", entry=seq, by=by),
            )
        return None
    if by is not None:
        return Fault(
            seq,
            "not erased",
            _("Entry {by} says that the body of entry {entry} was erased, but it is there.", by=by, entry=seq),
        )
    if len(link.salt) != WIDTH or commitment(link.salt, link.payload) != link.commitment:
        return Fault(
            seq, "body", _("The body of entry {entry} was changed: it does not give the entry's commitment.", entry=seq)
        )
    return None


def erasure_fault(link: ChainLink, noted: Collection[int]) -> Fault | None:
    """What is wrong with an `erased` entry, if the erasures of `noted` are on record as its doing."""
    seq = link.seq
    if link.payload is None:
        return Fault(
            seq, "erased erasure", _("Entry {entry} says what was erased, and its own body is gone.", entry=seq)
        )
    named = set(json.loads(link.payload).get("seqs", ()))
    for other in sorted(named ^ set(noted)):
        if other in named:
            return Fault(
                other,
                "not erased",
                _("Entry {entry} says that the body of entry {other} was erased; it was not.", entry=seq, other=other),
            )
        return Fault(
            other,
            "erasure",
            _(
                "The body of entry {other} is noted as erased by entry {entry}, which says no such thing.",
                other=other,
                entry=seq,
            ),
        )
    return None
