"""Things in a row, as people read them: "Efe S., Gus P. and Inga V." Rules: no Django."""

from collections.abc import Iterable

from shopsafe.language.messages import _


def listed(items: Iterable[object]) -> str:
    """ "Efe S.", "Efe S. and Gus P.", "Efe S., Gus P. and Inga V."; empty for nothing."""
    *first, last = [str(item) for item in items] or [""]
    return _("{items} and {last}", items=", ".join(first), last=last) if first else last


def alternatives(items: Iterable[object]) -> str:
    """ "the lathe", "the lathe or the band saw"; empty for nothing."""
    *first, last = [str(item) for item in items] or [""]
    return _("{items} or {last}", items=", ".join(first), last=last) if first else last
