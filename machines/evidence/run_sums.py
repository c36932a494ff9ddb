"""A student's runs in sum, machine by machine, out of the entries of the evidence file. Pure: entries to lines."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from shopsafe.language.messages import _
from shopsafe.logbook.rules import chain

# What the sheets give in sum: an entry each for given, started and ended would fill pages. The JSON has every one.
IN_SUM = frozenset({"run", "waiting", "helper"})


@dataclass(frozen=True)
class RunSum:
    """One machine: how often the student ran it, how long, and when last. A run that is open counts as begun."""

    machine: str
    runs: int
    minutes: int
    last: datetime

    @property
    def time(self) -> str:
        """ "1 h 20 min" """
        hours, minutes = divmod(self.minutes, 60)
        return (
            _("{hours} h {minutes} min", hours=hours, minutes=minutes) if hours else _("{minutes} min", minutes=minutes)
        )


def run_sums(entries: Iterable[dict[str, Any]]) -> list[RunSum]:
    """By machine, in the order in which each was first run."""
    started: dict[int, tuple[str, datetime]] = {}
    ended: dict[int, datetime] = {}
    for entry in entries:
        kind, payload, at = _of(entry)
        if kind == "run.started":
            started[payload["run"]] = (payload["machine"]["name"], at)
        elif kind == "run.ended":
            ended[payload["run"]] = at
    by_machine: dict[str, list[tuple[datetime, datetime]]] = {}
    for run, (machine, at) in started.items():
        by_machine.setdefault(machine, []).append((at, ended.get(run, at)))
    return [
        RunSum(machine, len(spans), _minutes(spans), max(end for _, end in spans))
        for machine, spans in by_machine.items()
    ]


def _minutes(spans: Iterable[tuple[datetime, datetime]]) -> int:
    total = sum((max(end - begin, timedelta(0)) for begin, end in spans), timedelta(0))
    return total // timedelta(minutes=1)


def _of(entry: dict[str, Any]) -> tuple[str, dict[str, Any], datetime]:
    """Kind, payload and moment; of an entry that was written again, those of the entry that it stands for."""
    payload = json.loads(entry["payload"])
    kind, at = entry["kind"], entry["at"]
    if kind == chain.RESTATED:
        kind, at = payload["restates"]["kind"], payload["restates"]["at"]
    return kind, payload, datetime.fromisoformat(at).astimezone(UTC)
