"""How an entry of an evidence file reads on paper: its questions, its details in words, its digests apart. Pure."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from shopsafe.language.messages import _, marked
from shopsafe.logbook.rules.field_labels import LABELS
from shopsafe.logbook.rules.outline import Node, label_of, outline

STEP = re.compile(r"([0-9]+)\. (.*)", re.DOTALL)
# Said by the sentence above it, by the questions, or by every entry of the file.
LEFT_OUT = {"student", "by", "questions", "points", "seed", "bank", "edition", "attempt", "asked", "correct"}
LEFT_OUT |= {"machine", "machine_kind", "sign_off", "hold", "incident", "version", "account", "number", "part"}
LEFT_OUT |= {"rests_on", "missed_rules", "handed_in_at", "local_id", "new", "purpose"}
# On paper some parts are named by fewer words, or by none.
ON_PAPER = {
    **LABELS,
    "year": marked("School year"),
    "started_at": marked("Started"),
    "opened_at": marked("Opened"),
    "says": "",
    "asks": "",
    "digest": marked("content"),
    "edition_digest": marked("edition"),
    "form_digest": marked("form"),
    "answers_digest": marked("answers"),
}
CODES = {"code", "id", "tap"}  # of the program's own use; evidence.json has them


@dataclass(frozen=True)
class Digest:
    """What a digest is of, and the digest: they are on the last page."""

    what: str
    digest: str


def as_asked(question: dict[str, Any]) -> dict[str, Any]:
    """A number is shown with its unit once, whether it was typed with it or not."""
    unit, answered = question.get("unit", ""), "; ".join(question["answered"])
    return question | {"answered": answered if answered.endswith(unit) or not answered else f"{answered} {unit}"}


def options_of(question: Mapping[str, Any]) -> list[tuple[str, bool]]:
    """What was shown, in its order, each with whether the student gave it; items put in order bear their step."""
    shown, answered = question.get("shown") or [], question["answered"]
    steps = {match[2]: match[1] for text in answered if (match := STEP.fullmatch(text))}
    if answered and len(steps) == len(answered) and set(steps) <= set(shown):
        return [(f"{steps[text]}. {text}" if text in steps else text, text in steps) for text in shown]
    if set(answered) <= set(shown):
        return [(text, text in answered) for text in shown]
    given = " ".join(answered)
    return [(as_asked(dict(question))["answered"], True), *((text, False) for text in shown if text not in given)]


def asked_lefts(question: Mapping[str, Any]) -> list[str]:
    """Of items to pair, those that the answer does not name."""
    given = " ".join(question["answered"])
    return [left for left in question.get("left") or [] if left not in given]


def details(payload: Mapping[str, Any], zone: str) -> str:
    """The rest of an entry in one run of words: "From: 30 September 2026. Class: 9 Teak." """
    kept = {key: value for key, value in payload.items() if key not in LEFT_OUT and not is_digest(key)}
    lines = [*outline(_without_codes(kept), zone, ON_PAPER), *_based_on(payload.get("rests_on"))]
    missed = [rule["says"] for rule in payload.get("missed_rules") or [] if rule.get("says")]
    if missed:
        lines.append(Node(_("Rules to study"), " ".join(missed)))
    return " ".join(filter(None, map(_said, lines)))


def digests(payload: Mapping[str, Any]) -> list[Digest]:
    named = ((key, value) for key, value in payload.items() if is_digest(key) and isinstance(value, str))
    return [Digest(label_of(key, ON_PAPER), value) for key, value in named]


def is_digest(key: str) -> bool:
    return key.endswith("digest")


def _without_codes(value: Any) -> Any:
    """What only the program needs is left out."""
    if isinstance(value, Mapping):
        if set(value) == {"id", "name"}:
            return value
        return {key: _without_codes(item) for key, item in value.items() if key not in CODES}
    return [_without_codes(item) for item in value] if isinstance(value, list) else value


def _based_on(reasons: Any) -> list[Node]:
    """What a sign-off rests on: other entries are named by their numbers."""
    if not isinstance(reasons, list):
        return []
    entries = [str(reason["entry"]) for reason in reasons if reason.get("entry")]
    plain = [str(reason["sentence"]) for reason in reasons if not reason.get("entry")]
    lines = [Node(_("Based on entries"), ", ".join(entries))] if entries else []
    return [*lines, *(Node("", sentence) for sentence in plain)]


def _said(line: Node) -> str:
    text = line.text or " ".join(filter(None, map(_said, line.below)))
    if not text or text in (_("none"), "–"):
        return ""
    ended = text if text[-1] in ".?!" else f"{text}."
    return f"{line.label}: {ended}" if line.label else ended


def numbered_points(points: Iterable[str]) -> str:
    """ "1 Sets the guard. 2 Hands in sight." """
    return " ".join(f"{number} {point.rstrip('.')}." for number, point in enumerate(points, 1))
