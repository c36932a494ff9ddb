"""What an entry says, as an outline that a person can read: labels and texts, one inside the other. Pure."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from shopsafe.conventions import written_day, written_moment
from shopsafe.language.messages import _
from shopsafe.logbook.rules.field_labels import LABELS, OWN_WORDS


@dataclass(frozen=True)
class Node:
    """One line. A text, or lines below it, or a label alone where there is nothing."""

    label: str
    text: str = ""
    below: list["Node"] = field(default_factory=list)


# As chain.second writes one.
MOMENT = re.compile(r"[0-9]{4}-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-5][0-9]Z")
DAY = re.compile(r"[0-9]{4}-[01][0-9]-[0-3][0-9]")


def outline(payload: Mapping[str, Any], zone: str = "UTC", labels: Mapping[str, str] = LABELS) -> list[Node]:
    """`zone` is the school's: moments are written as its clocks showed them. `labels` are the names of the parts."""
    return [
        node(label_of(key, labels), in_own_words(value) if key in OWN_WORDS else value, zone, labels)
        for key, value in payload.items()
    ]


def in_own_words(value: Any) -> Any:
    """A word of the program, or several, in the language at hand."""
    if isinstance(value, list):
        return [in_own_words(item) for item in value]
    return _(value) if isinstance(value, str) and value else value


def node(label: str, value: Any, zone: str, labels: Mapping[str, str] = LABELS) -> Node:
    match value:
        case {"id": _, "name": str(name), **rest} if not rest:
            return Node(label, name)
        case {"label": str(own_label), "text": str(own_text), **rest} if not rest:
            return Node(_(own_label), own_text)
        case {"sentence": str(sentence), "entry": entry, **rest} if not rest:
            return Node(label, _("{sentence} Entry {entry}.", sentence=sentence, entry=entry) if entry else sentence)
        case dict():
            return Node(label, below=outline(value, zone, labels))
        case list():
            if all(not isinstance(item, dict | list) for item in value):
                return Node(label, "; ".join(text(item, zone) for item in value) or _("none"))
            return Node(label, below=[node(str(number), item, zone, labels) for number, item in enumerate(value, 1)])
    return Node(label, text(value, zone))


def text(value: Any, zone: str) -> str:
    match value:
        case None | "":
            return "–"
        case bool():
            return _("yes") if value else _("no")
        case str() if MOMENT.fullmatch(value):
            return written_moment(datetime.fromisoformat(value), zone, seconds=True)
        case str() if DAY.fullmatch(value):
            return day(value)
    return str(value)


def day(value: str) -> str:
    """ "October 2, 2026" of 2026-10-02; what only looks like a day stays as it is."""
    try:
        parsed_day = date.fromisoformat(value)
    except ValueError:
        return value
    return written_day(parsed_day)


def label_of(key: str, labels: Mapping[str, str] = LABELS) -> str:
    """ "missed_rules" → "Missed rules"; a part without a label is named as the entry names it."""
    label = labels[key] if key in labels else key.replace("_", " ").capitalize()
    return _(label) if label else ""
