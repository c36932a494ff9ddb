"""Questions to the logbook that pages and prints ask. Nothing here writes, and nothing here knows a person."""

import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db import connection
from django.db.models import Exists, OuterRef, QuerySet

from shopsafe.language.messages import _
from shopsafe.logbook import sentences
from shopsafe.logbook.models import (
    Checkpoint,
    CheckpointCopy,
    Entry,
    Listing,
    Subject,
    Verification,
    VerificationRun,
)
from shopsafe.logbook.rules import chain, subjects

PERSON = "person:"
FIRST_LOOK, LARGEST_LOOK = 256, 4_096  # entries
MENTIONS = {
    "sqlite": "instr(b.payload, %s) > 0",
    "postgresql": "position(%s in b.payload) > 0",
}


@dataclass(frozen=True)
class EntryLine:
    """One entry as a page shows it. `payload` is None once the body is erased, as entry `erased_by` says."""

    seq: int
    at: datetime
    kind: str
    label: str
    sentence: str
    payload: dict[str, Any] | None
    erased_by: int | None


@dataclass(frozen=True)
class SubjectEntries:
    """The entries that name one subject: those about no one else go whole, `shared` ones are written again without."""

    whole: tuple[int, ...]
    shared: tuple[int, ...]

    @property
    def seqs(self) -> list[int]:
        return sorted((*self.whole, *self.shared))


def listings(school: int) -> QuerySet[Listing]:
    """A school's entries with their bodies, newest first."""
    rows = Listing.objects.select_related("entry__body", "entry__erasure")
    return rows.filter(school=school).order_by("-entry")


def listings_about(rows: QuerySet[Listing], keys: Collection[str]) -> QuerySet[Listing]:
    """Those about any of the subjects, as in subjects.person(12)."""
    return rows.filter(entry__in=about(keys))


def about(keys: Collection[str] | QuerySet[Any, Any]) -> QuerySet[Subject, int]:
    """The numbers of the entries about any of the subjects."""
    return Subject.objects.filter(key__in=keys).values_list("entry", flat=True)


def naming_none_of(
    school: int, kinds: Collection[str], keys: Collection[str] | QuerySet[Any, Any], role: str
) -> QuerySet[Listing, int]:
    """The numbers of a school's entries of these kinds that name none of the subjects, and no one in this role."""
    named = Subject.objects.filter(entry=OuterRef("entry"))
    rows = Listing.objects.filter(school=school, kind__in=kinds)
    rows = rows.filter(~Exists(named.filter(key__in=keys)), ~Exists(named.filter(role=role)))
    return rows.order_by().values_list("entry", flat=True)


def naming_only(rows: QuerySet[Listing], keys: Collection[str]) -> QuerySet[Listing]:
    """Those that name no person outside `keys`."""
    others = Subject.objects.filter(entry=OuterRef("entry"), key__startswith=PERSON).exclude(key__in=keys)
    return rows.filter(~Exists(others))


def first_naming_only(rows: QuerySet[Listing], keys: Collection[str], count: int) -> list[Listing]:
    """The first `count` of the rows, newest first, that name no person outside `keys`.

    A page is looked at, then a larger one: asked in one statement, PostgreSQL reads whom every entry of every school
    names.
    """
    page, look = list(rows[:count]), FIRST_LOOK
    hidden = _naming_others([row.entry_id for row in page], keys)
    first = [row for row in page if row.entry_id not in hidden]
    if not hidden or len(page) < count:
        return first
    last, more = page[-1].entry_id, list[int]()
    while len(first) + len(more) < count:
        seqs = list(rows.filter(entry__lt=last).values_list("entry", flat=True)[:look])
        hidden = _naming_others(seqs, keys)
        more += [seq for seq in seqs if seq not in hidden]
        if len(seqs) < look:
            break
        last, look = seqs[-1], min(2 * look, LARGEST_LOOK)
    return [*first, *rows.filter(entry__in=more[: count - len(first)])]


def _naming_others(seqs: Collection[int], keys: Collection[str]) -> set[int]:
    """Those that name a person outside `keys`."""
    named = Subject.objects.filter(entry__in=seqs, key__startswith=PERSON).values_list("entry", "key")
    allowed = set(keys)
    return {seq for seq, key in named if key not in allowed}


def kinds_of(school: int) -> list[str]:
    """The kinds that this school's entries have, by label."""
    kinds = Listing.objects.filter(school=school).order_by().values_list("kind", flat=True).distinct()
    return sorted(kinds, key=sentences.label)


def lines(rows: Iterable[Listing]) -> list[EntryLine]:
    """The entries with what they say."""
    return [line_of(row) for row in rows]


def line_of(row: Listing) -> EntryLine:
    label, body, erasure = (
        sentences.label(row.kind),
        related_rows(row.entry, "body"),
        related_rows(row.entry, "erasure"),
    )
    payload = json.loads(bytes(body.payload)) if body else None
    erased_by = erasure.by_id if erasure else None
    if payload is not None:
        text = sentences.sentence(row.kind, payload)
    else:
        text = (
            _("{label}: erased, as entry {entry} says", label=label, entry=erased_by)
            if erased_by
            else _("{label}: missing", label=label)
        )
    return EntryLine(row.entry_id, row.at, row.kind, label, text, payload, erased_by)


def related_rows(entry: Entry, name: str) -> Any:
    """The entry's body or erasure, or None. Both came with the listing."""
    return getattr(entry, name, None)


def subject_entries(key: str) -> SubjectEntries:
    """The entries whose bodies name `key`, as in subjects.person(12)."""
    whole: set[int] = set()
    shared: set[int] = set()
    for seq, role in Subject.objects.filter(key=key).values_list("entry", "role"):
        (whole if role in subjects.ABOUT else shared).add(seq)
    return SubjectEntries(tuple(sorted(whole)), tuple(sorted(shared - whole)))


def mentioning(name: str, *, school: int, beside: Collection[int]) -> list[int]:
    """The entries of a school, `beside` those, in whose words `name` stands."""
    text = chain.canonical(name)[1:-1]
    statement = f"""
        SELECT b.seq FROM logbook_body b JOIN logbook_listing l ON l.seq = b.seq
        WHERE l.school = %s AND {MENTIONS[connection.vendor]} ORDER BY b.seq
    """  # noqa: S608  one of the two texts above
    with connection.cursor() as cursor:
        cursor.execute(statement, [school, text])
        return [row[0] for row in cursor.fetchall() if row[0] not in set(beside)]


LAST = "SELECT at FROM logbook_listing WHERE school = %s ORDER BY seq DESC LIMIT 1"


def last_moment(school: int) -> datetime | None:
    """The moment of the act that a school's last entry records; None where there is no entry yet. One of the few
    questions that every act and every page asks, so it is plain SQL."""
    with connection.cursor() as cursor:
        cursor.execute(LAST, [school])
        row = cursor.fetchone()
    if row is None:
        return None
    at: datetime = row[0]
    return at if at.tzinfo else at.replace(tzinfo=UTC)  # SQLite keeps UTC and does not say so


def entry(seq: int) -> Entry:
    return Entry.objects.get(pk=seq)


def size() -> int:
    """How many entries there are."""
    return Entry.objects.order_by("-seq").values_list("seq", flat=True).first() or 0


def latest_checkpoint() -> Checkpoint | None:
    return Checkpoint.objects.order_by("-size").first()


def latest_verification() -> Verification | None:
    return Verification.objects.order_by("-at", "-pk").first()


def last_that_held() -> Verification | None:
    return Verification.objects.filter(fault="").order_by("-at", "-pk").first()


def current_run() -> VerificationRun | None:
    """The reading under way, or else the last one."""
    return VerificationRun.objects.order_by("over", "-asked_at", "-pk").first()


def checkpoint_from(at: datetime) -> Checkpoint | None:
    """The first checkpoint taken at a moment or later; where none was, the last one before it."""
    later = Checkpoint.objects.filter(at__gte=at).order_by("size").first()
    return later or Checkpoint.objects.order_by("-size").first()


def protecting_copy() -> CheckpointCopy | None:
    """The copy outside of this computer that covers the most entries; of several, the first."""
    copies = CheckpointCopy.objects.filter(problem="").select_related("checkpoint")
    return copies.order_by("-checkpoint", "at").first()


def latest_copies(count: int) -> list[CheckpointCopy]:
    return list(CheckpointCopy.objects.select_related("checkpoint").order_by("-at", "-pk")[:count])
