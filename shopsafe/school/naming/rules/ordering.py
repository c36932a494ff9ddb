"""Lists of classes, shops and whatever else is called by a number, in the order in which people count. Pure."""

from collections.abc import Iterable
from typing import Any, Protocol

from natsort import natsort_keygen

from shopsafe.school.naming.rules.names import plain

NATURAL = natsort_keygen()


class HasName(Protocol):
    pk: int
    name: str


def number_key(name: str) -> Any:
    """Return what a name is ordered by: its numbers as numbers, so that "Period 7" comes before "Period 10". Case and
    accents do not count."""
    return NATURAL(plain(name))


def in_order[N: HasName](rows: Iterable[N]) -> list[N]:
    """Return the rows by name; of two rows with one name the older comes first."""
    return sorted(rows, key=lambda row: (number_key(row.name), row.pk))
