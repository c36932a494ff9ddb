"""The subjects of many entries as one text of JSON, to be held against what a database lists of them.

Entries of one kind name the same roles: the first of a form gives a function that writes the rest of that form.
"""

import json
from collections.abc import Callable, Iterable
from typing import Any

from shopsafe.logbook.rules.subjects import PREFIXES, rows

type Payload = dict[str, Any]
type Writer = Callable[[Payload], str | None]

# So many forms of payloads are remembered; the program writes far fewer.
MOST_FORMS = 1_000
ENCODE = json.JSONEncoder(ensure_ascii=False).encode
QUOTES = 4  # of a role and a key, where neither needs an escape


class SubjectTexts:
    """What entries list, as texts: the numbers of their entries, and `"role":"key"` for each, joined by commas."""

    def __init__(self) -> None:
        self._latest: dict[tuple[str, ...], tuple[Writer, int]] = {}  # by roles
        self._forms: dict[tuple[Any, ...], tuple[Writer, int]] = {}  # by roles and types

    def of(self, entries: Iterable[tuple[int, Any, Payload]]) -> tuple[list[int], list[str]]:
        """Of (seq, anything, payload): the number of the entry of each subject, and a text for each entry.

        Raises UnknownRole. Written flat, since a million entries are verified in one go.
        """
        latest = self._latest
        numbers: list[int] = []
        texts: list[str] = []
        for seq, _, payload in entries:
            try:
                write, count = latest[tuple(payload)]
                text = write(payload)
            except (KeyError, TypeError):
                text = None
            if text is None:
                text, count = self._by_form(payload)
            if count:
                numbers += (seq,) * count
                texts.append(text)
        return numbers, texts

    def _by_form(self, payload: Payload) -> tuple[str, int]:
        form = (*payload, *map(type, payload.values()))
        plan = self._forms.get(form)
        if plan is None and len(self._forms) < MOST_FORMS:
            plan = self._forms[form] = self._latest[tuple(payload)] = writer(payload)
        try:
            text = plan[0](payload) if plan else None
        except (KeyError, TypeError):  # a part of another form than that of the first
            text = None
        return pairs_text(payload) if plan is None or text is None else (text, plan[1])


def pairs_text(payload: Payload) -> tuple[str, int]:
    """The subjects of one payload, the keys of one role in their order, and how many they are."""
    pairs = [pair for role, value in payload.items() for pair in sorted(row[1:] for row in rows(0, {role: value}))]
    return ",".join(f"{ENCODE(role)}:{ENCODE(key)}" for role, key in pairs), len(pairs)


def writer(payload: Payload) -> tuple[Writer, int]:
    """What writes the subjects of payloads of this form, and how many they are.

    It gives None, or raises, for a payload whose parts have another form.
    """
    conditions, written = ["True"], []
    for number, (role, value) in enumerate(payload.items()):
        part = f"payload[{role!r}]"
        if type(value) is dict and "id" in value and "name" in value and role in PREFIXES:
            conditions.append(f"'name' in (v{number} := {part})")
            written.append(f'"{role}":"{PREFIXES[role]}{{v{number}["id"]}}"')
            continue
        conditions.append(
            f"type(v{number} := {part}) is {type(value).__name__}" if value is not None else f"{part} is None"
        )
        if type(value) is list:
            texts = all(type(item) is str for item in value)
            conditions.append(f"''.join(v{number}) is not None" if texts else f"dict not in map(type, v{number})")
        elif type(value) is dict:
            conditions.append(f"not ('id' in v{number} and 'name' in v{number})")
    source = f"lambda payload: f'{','.join(written)}' if {' and '.join(conditions)} else None"
    return eval(source, {}), len(written)  # noqa: S307  roles and types, as Python writes them
