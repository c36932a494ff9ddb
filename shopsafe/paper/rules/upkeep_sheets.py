"""What the tag on a machine and an inspection sheet say, as plain dataclasses. Pure."""

from dataclasses import dataclass
from datetime import date

from shopsafe.paper.rules.sheets import Paper

A6 = Paper("a6", "A6", 105.0, 148.0)


@dataclass(frozen=True)
class Tag:
    """The tag of a machine that no one may start. `code` names the tag-out; `url` leads to the machine's page."""

    machine: str
    shop: str
    reason: str
    by: str
    since: date
    code: str
    url: str
    demo: bool = False


@dataclass(frozen=True)
class InspectionRows:
    """One machine with its lines, each with its source."""

    machine: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class InspectionSheet:
    """The lists of one interval to fill in on paper, machine by machine. `interval`: "daily", "weekly", "each term"."""

    shop: str
    interval: str
    machines: tuple[InspectionRows, ...]
    printed: date
    demo: bool = False
