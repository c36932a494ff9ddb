"""Inspection lists to begin with, read from a file: what is checked at each machine type, how often, and why.

A school edits its own copy. The machine's manual, the school's and local rules come first.
"""

import tomllib
from typing import Any

from machines.reports.facts import InspectionLine, InspectionList, Interval

EVERY_KIND = "every-machine"  # the list for machine types without one of their own, and in addition to each other list
LONGEST_LINE = 120


def read_inspection_lists(text: str) -> dict[str, tuple[InspectionList, ...]]:
    """Machine type → its lists. Raises ValueError, naming the machine type, for a file that is not whole."""
    try:
        rows: list[dict[str, Any]] = tomllib.loads(text)["machine"]
    except (KeyError, tomllib.TOMLDecodeError) as error:
        raise ValueError(f"inspection lists can't be read: {error}") from error
    lists: dict[str, tuple[InspectionList, ...]] = {}
    for row in rows:
        kind = str(row.get("kind", ""))
        if not kind or kind in lists:
            raise ValueError(f"machine type {kind!r} is missing or there twice")
        lists[kind] = _lists(kind, row)
    return lists


def lists_for(kind: str, lists: dict[str, tuple[InspectionList, ...]]) -> tuple[InspectionList, ...]:
    """The lists of one machine type, the lines for every machine first, one list an interval."""
    both = [*lists.get(EVERY_KIND, ()), *lists.get(kind, ())]
    merged = {
        interval: [line for row in both if row.interval is interval for line in row.lines] for interval in Interval
    }
    return tuple(InspectionList(kind, interval, tuple(lines)) for interval, lines in merged.items() if lines)


def _lists(kind: str, row: dict[str, Any]) -> tuple[InspectionList, ...]:
    unknown = row.keys() - {"kind", *Interval}
    if unknown or not row.keys() & set(Interval):
        raise ValueError(f"{kind}: give lines under daily, weekly or term, and nothing else ({sorted(unknown)})")
    return tuple(
        InspectionList(kind, interval, tuple(_line(kind, line) for line in row[interval]))
        for interval in Interval
        if interval in row
    )


def _line(kind: str, line: dict[str, Any]) -> InspectionLine:
    if line.keys() != {"says", "source"} or not all(isinstance(value, str) and value for value in line.values()):
        raise ValueError(f"{kind}: each line has says and source, and nothing else: {line}")
    if len(line["says"]) > LONGEST_LINE:
        raise ValueError(f"{kind}: a line has more than {LONGEST_LINE} characters: {line['says']}")
    return InspectionLine(line["says"], line["source"])
