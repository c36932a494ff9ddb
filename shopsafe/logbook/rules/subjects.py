"""Which people and things an entry is about, read from its payload.

A payload names someone or something at its top level, as `"student": {"id": 12, "name": "Amira Kaya"}` or as a
list of such. The role is the key. Roles are listed here so that no one is named without being found again when
their data is asked for, or erased. One student an entry wherever an act can be distinguished: a class of thirty
imported is thirty entries, so that erasing one takes nothing from the others.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

PEOPLE = frozenset(
    {"student", "students", "by", "teacher", "teachers", "substitute", "office", "person", "people", "reporter"}
    | {"helper", "witness", "witnesses", "signer", "owner", "to", "present"}
    | {"lifted_by", "released_by", "recorded_by", "withdrawn_by", "placed_by", "voided_by", "signed_off_by"}
)
# An entry that names a person in one of these roles is that person's own: it goes with them.
ABOUT = frozenset({"student", "person", "helper"})
THINGS = {
    "machine": "machine",
    "machines": "machine",
    "machine_kind": "kind",
    "machine_kinds": "kind",
    "shop": "shop",
    "shops": "shop",
    "section": "section",
    "sections": "section",
    "term": "term",
    "school": "school",
    "bank": "bank",
    "banks": "bank",
    "quiz": "quiz",
    "edition": "edition",
}
PREFIXES = {role: f"{sort}:" for role, sort in (dict.fromkeys(PEOPLE, "person") | THINGS).items()}
KEY_MAX = 60


class UnknownRole(ValueError):
    """A payload names someone in a role that the logbook does not know."""


@dataclass(frozen=True)
class EntrySubject:
    role: str
    key: str


def person(pk: int) -> str:
    """The key under which everything about one person is found."""
    return f"person:{pk}"


def machine(pk: int) -> str:
    return f"machine:{pk}"


def shop(pk: int | str) -> str:
    return f"shop:{pk}"


def subjects(payload: dict[str, Any]) -> set[EntrySubject]:
    """Raises UnknownRole for something named under a key that is neither in PEOPLE nor in THINGS."""
    return {EntrySubject(role, key) for role, key in keys(payload)}


def keys(payload: dict[str, Any]) -> set[tuple[str, str]]:
    """`subjects` as plain pairs."""
    return {(role, key) for _, role, key in rows(0, payload)}


def rows(seq: int, payload: dict[str, Any]) -> list[tuple[int, str, str]]:
    """`subjects` as the rows of entry `seq`. Written flat, since a million entries are verified in one go."""
    listed = []
    for role, value in payload.items():
        if type(value) is dict:
            if "id" in value and "name" in value:
                listed.append((seq, role, f"{PREFIXES.get(role) or prefix(role)}{value['id']}"))
        elif type(value) is list:
            for item in value:
                if type(item) is dict and "id" in item and "name" in item:
                    listed.append((seq, role, f"{prefix(role)}{item['id']}"))
    return listed


def names(payload: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each (role, {"id", "name"}) at the top level of the payload."""
    for role, value in payload.items():
        for item in value if isinstance(value, list) else [value]:
            if isinstance(item, dict) and "id" in item and "name" in item:
                yield role, item


def without(payload: dict[str, Any], key: str) -> dict[str, Any]:
    """The payload with no one in it who has this key. A role that named them alone is left out."""
    kept = {}
    for role, value in payload.items():
        if isinstance(value, list):
            kept[role] = [item for item in value if not is_named(role, item, key)]
        elif not is_named(role, value, key):
            kept[role] = value
    return kept


def is_named(role: str, item: object, key: str) -> bool:
    return isinstance(item, dict) and "id" in item and "name" in item and f"{prefix(role)}{item['id']}" == key


def prefix(role: str) -> str:
    try:
        return PREFIXES[role]
    except KeyError:
        raise UnknownRole(f"Say in shopsafe/logbook/subjects.py whether {role!r} is a person or a thing.") from None
