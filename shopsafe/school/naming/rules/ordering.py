"""Lists of classes, shops and whatever else is called by a number, in the order in which people count. Pure."""

import re
from collections.abc import Iterable
from typing import Protocol

from shopsafe.school.naming.rules.names import plain

NUMBER = re.compile(r"([0-9]+)")


class HasName(Protocol):
    pk: int
    name: str


def number_key(name: str) -> tuple[tuple[bool, int, str], ...]:
    """What a name is ordered by: its numbers as numbers, so that "Period 7" comes before "Period 10"; case and accents
    do not count."""
    parts = [part.strip() for part in NUMBER.split(plain(name))]
    return tuple((not part.isdigit(), int(part) if part.isdigit() else 0, part) for part in parts if part)


def in_order[N: HasName](rows: Iterable[N]) -> list[N]:
    """Rows by their names; of two of one name the older first."""
    return sorted(rows, key=lambda row: (number_key(row.name), row.pk))
