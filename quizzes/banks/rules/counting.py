"""Which passes count, and until when, by later editions and by whether a teacher accepts the rules."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, kw_only=True)
class Publication:
    """One edition, what its publishing says of passes on earlier ones, and whether a teacher accepts its rules.

    `taken_back_at` says since when not, where it was accepted before. `key` and `digest` lead to its text.
    """

    number: int
    at: datetime
    earlier_count: bool = True
    earlier_until: datetime | None = None
    accepted: bool = True
    taken_back_at: datetime | None = None
    key: int = 0
    digest: str = ""


def counts_until(edition: int, publications: Iterable[Publication]) -> datetime | None:
    """When a pass on `edition` stops counting: by the earliest of what later editions say, or when its acceptance was
    taken back; None for never."""
    publications = list(publications)
    ends = [
        publication.earlier_until if publication.earlier_count else publication.at
        for publication in publications
        if publication.number > edition
    ]
    ends += [
        own_publication.taken_back_at or own_publication.at
        for own_publication in publications
        if own_publication.number == edition and not own_publication.accepted
    ]
    return min((end for end in ends if end is not None), default=None)


@dataclass(frozen=True)
class UnapprovedLatest:
    """A bank whose latest edition no teacher accepts, and the earlier editions on which a pass still counts."""

    edition: int
    counting: tuple[int, ...]


def unapproved_latest(publications: Sequence[Publication], at: datetime) -> UnapprovedLatest | None:
    """What a bank's editions by `at` say, the oldest first; None where its latest one is accepted, or there is none."""
    if not publications or publications[-1].accepted:
        return None
    ends = {publication.number: counts_until(publication.number, publications) for publication in publications}
    return UnapprovedLatest(publications[-1].number, tuple(n for n, end in ends.items() if end is None or end > at))
