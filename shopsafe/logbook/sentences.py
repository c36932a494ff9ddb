"""What each kind of entry says in plain words. The apps that append a kind register its words here."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.rules import chain, subjects

type Payload = Mapping[str, Any]


@dataclass(frozen=True)
class EntryKind:
    """`label` as in "Sign-off", marked; `says` gives the rest of the sentence, looked up, without a full stop."""

    label: str
    says: Callable[[Payload], str]


KINDS: dict[str, EntryKind] = {}


def register(kinds: Mapping[str, EntryKind]) -> None:
    """Raises ValueError if another app has words for one of them already."""
    twice = [kind for kind in kinds if KINDS.get(kind, kinds[kind]) != kinds[kind]]
    if twice:
        raise ValueError(f"Two apps have words for {', '.join(twice)}.")
    KINDS.update(kinds)


def label(kind: str) -> str:
    return _(KINDS[kind].label) if kind in KINDS else kind.replace(".", " ").replace("_", " ").capitalize()


def sentence(kind: str, payload: Payload) -> str:
    """ "Sign-off: Amira Kaya on band saw 2 by Ms Ferrant, 5 of 5 points". A kind without words lists who is named."""
    try:
        text = KINDS[kind].says(payload)
    except (AttributeError, KeyError, TypeError, ValueError):
        # Entries are read for years: an old one may not hold what today's words ask for.
        text = listed(payload)
    # A reason that someone typed may end in a full stop: where the sentence stands, one is set after it.
    return f"{label(kind)}: {text.rstrip('. ')}"


def listed(payload: Payload) -> str:
    named = [f"{role.replace('_', ' ')} {reference['name']}" for role, reference in subjects.names(dict(payload))]
    return ", ".join(named) or _("names no one")


def name(payload: Payload, role: str, otherwise: str | None = None) -> str:
    """Whom or what the payload names in a role: one, or several with commas; else `otherwise`, or "not named"."""
    value = payload.get(role)
    several = value if isinstance(value, list) else [value]
    return ", ".join(item["name"] for item in several if isinstance(item, dict) and "name" in item) or (
        _("not named") if otherwise is None else otherwise
    )


def by(payload: Payload) -> str:
    return name(payload, "by", _("the server's console"))


def erased(payload: Payload) -> str:
    seqs = payload.get("seqs", ())
    return counted(
        "what {count} entry said was erased by {by}: {reason}",
        "what {count} entries said was erased by {by}: {reason}",
        count=len(seqs),
        by=by(payload),
        reason=payload.get("reason", ""),
    )


def restated(payload: Payload) -> str:
    """What the entry said that this one stands for."""
    of = payload["restates"]
    return _(
        "entry {entry}, without someone whose record was erased. {sentence}",
        entry=of["entry"],
        sentence=sentence(of["kind"], payload),
    )


register(
    {chain.ERASED: EntryKind(marked("Erasure"), erased), chain.RESTATED: EntryKind(marked("Written again"), restated)}
)
