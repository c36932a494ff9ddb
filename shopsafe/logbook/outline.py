"""What an entry says, as an outline that a person can read: labels and texts, one inside the other. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Node:
    """One line. A text, or lines below it, or a label alone where there is nothing."""

    label: str
    text: str = ""
    below: list["Node"] = field(default_factory=list)


# What the code calls otherwise than the page.
SPOKEN = {"section": "Class", "at_console": "At the server's console"}


def outline(payload: Mapping[str, Any]) -> list[Node]:
    return [node(spoken(key), value) for key, value in payload.items()]


def node(label: str, value: Any) -> Node:
    match value:
        case {"id": _, "name": str(name), **rest} if not rest:
            return Node(label, name)
        case dict():
            return Node(label, below=outline(value))
        case list():
            if all(not isinstance(item, dict | list) for item in value):
                return Node(label, "; ".join(map(text, value)) or "none")
            return Node(label, below=[node(str(number), item) for number, item in enumerate(value, 1)])
    return Node(label, text(value))


def text(value: Any) -> str:
    match value:
        case None | "":
            return "–"
        case bool():
            return "yes" if value else "no"
    return str(value)


def spoken(key: str) -> str:
    """ "missed_rules" → "Missed rules"."""
    return SPOKEN.get(key, key.replace("_", " ").capitalize())
