"""Things in a row, as people read them: "Efe S., Gus P. and Inga V." Rules: no Django."""

from collections.abc import Iterable

from shopsafe.language.messages import _, isolated, runs_from_the_right


def listed(items: Iterable[object]) -> str:
    """ "Efe S.", "Efe S. and Gus P.", "Efe S., Gus P. and Inga V."; empty for nothing."""
    *first, last = [str(item) for item in items] or [""]
    return _("{items} and {last}", items=", ".join(first), last=last) if first else last


def alternatives(items: Iterable[object]) -> str:
    """ "the lathe", "the lathe or the band saw"; empty for nothing."""
    *first, last = [str(item) for item in items] or [""]
    return _("{items} or {last}", items=", ".join(first), last=last) if first else last


def in_turn(items: Iterable[str]) -> str:
    """ "band saw → table saw → band saw"; in a language that runs from right to left, the arrows do too."""
    if runs_from_the_right():
        return " ← ".join(str(isolated(item)) for item in items)
    return " → ".join(items)
