"""The inspection lists in force: those that teachers set, and the starter lists for machine types without one."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from hashlib import sha256
from typing import Any

import rfc8785
from django.conf import settings

from machines.models import InspectionList as StoredList
from machines.models import MachineKind
from machines.reports.facts import InspectionLine, InspectionList, Interval
from machines.reports.rules.inspection_lists import lists_for, read_inspection_lists


@dataclass(frozen=True)
class KindLists:
    """What is inspected at one machine type. `since`: a teacher set its first list then; None for a starter list, which
    no one is asked to go through at an interval yet."""

    lists: Mapping[Interval, tuple[InspectionLine, ...]]
    since: datetime | None = None
    set_by: str = ""
    set_at: datetime | None = None

    def lines(self, interval: Interval | None = None) -> tuple[InspectionLine, ...]:
        """The lines of one interval, or all of them: before a return to service every line is gone through."""
        if interval is not None:
            return self.lists.get(interval, ())
        return tuple(line for part in Interval for line in self.lists.get(part, ()))

    def digest(self, interval: Interval | None = None) -> str:
        """What a page carries so that answers meet the lines they were given to."""
        return sha256(rfc8785.dumps(as_data(self.lines(interval)))).hexdigest()[:16]


@cache
def starter_lists() -> dict[str, tuple[InspectionList, ...]]:
    """Machine type → the lists a school begins with."""
    return read_inspection_lists((settings.INSPECTIONS / "lists.toml").read_text(encoding="utf-8"))


def lists_of(kinds: Iterable[MachineKind], at: datetime) -> dict[int, KindLists]:
    """Machine type → its lists at `at`. One query."""
    stored: dict[int, list[StoredList]] = {}
    by_pk = {kind.pk: kind for kind in kinds}
    rows = StoredList.objects.filter(kind__in=by_pk, set_at__lte=at).select_related("set_by")
    for row in rows.order_by("set_at", "pk"):
        stored.setdefault(row.kind_id, []).append(row)
    return {pk: _lists(kind, stored.get(pk, ())) for pk, kind in by_pk.items()}


def lists_of_kind(kind: MachineKind, at: datetime) -> KindLists:
    return lists_of([kind], at)[kind.pk]


def _lists(kind: MachineKind, stored: Sequence[StoredList]) -> KindLists:
    if not stored:
        return KindLists({part.interval: part.lines for part in lists_for(kind.code, starter_lists())})
    first, last = stored[0], stored[-1]
    lines = {Interval(interval): from_data(lines) for interval, lines in last.lines.items()}
    return KindLists(lines, first.set_at, last.set_by.name, last.set_at)


def as_data(lines: Iterable[InspectionLine]) -> list[dict[str, str]]:
    return [{"says": line.says, "source": line.source} for line in lines]


def from_data(lines: Iterable[Mapping[str, Any]]) -> tuple[InspectionLine, ...]:
    return tuple(InspectionLine(line["says"], line["source"]) for line in lines)
