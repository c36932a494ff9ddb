"""Which passes count, and until when, after later editions were published."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, kw_only=True)
class Publication:
    """One edition, and what its publishing says of passes on earlier ones."""

    number: int
    at: datetime
    earlier_count: bool = True
    earlier_until: datetime | None = None


def counts_until(edition: int, publications: Iterable[Publication]) -> datetime | None:
    """When a pass on `edition` stops counting, by the earliest of what later editions say; None for never."""
    ends = [
        publication.earlier_until if publication.earlier_count else publication.at
        for publication in publications
        if publication.number > edition
    ]
    return min((end for end in ends if end is not None), default=None)
