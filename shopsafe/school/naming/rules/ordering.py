"""Lists of classes, shops and whatever else is called by a number, in the order in which people count. Pure."""

from collections.abc import Iterable, Mapping
from typing import Any, Protocol

from natsort import natsort_keygen

from shopsafe.school.naming.rules.names import plain, sort_key

NATURAL = natsort_keygen()


class HasName(Protocol):
    pk: int
    name: str


class HasSortKey(Protocol):
    pk: int

    @property
    def sort_key(self) -> str: ...


def number_key(name: str) -> Any:
    """Return what a name is ordered by: its numbers as numbers, so that "Period 7" comes before "Period 10". Case and
    accents do not count."""
    return NATURAL(plain(name))


def in_order[N: HasName](rows: Iterable[N]) -> list[N]:
    """Return the rows by name; of two rows with one name the older comes first."""
    return sorted(rows, key=lambda row: (number_key(row.name), row.pk))


def people_in_order[P: HasSortKey](people: Iterable[P]) -> list[P]:
    """Return people by the name as it is displayed, first name first. Of two with one name the older comes first."""
    return sorted(people, key=lambda person: (person.sort_key, person.pk))


def by_shown_name[P: HasSortKey](people: Iterable[P], names: Mapping[int, str]) -> list[P]:
    """The same where the page displays another form of the name, such as "Amira K.": `names` gives it by key."""
    return sorted(people, key=lambda person: (sort_key(names[person.pk]), person.pk))
