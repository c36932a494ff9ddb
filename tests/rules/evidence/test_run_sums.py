"""A student's runs in sum, out of the entries of an evidence file."""

import json
from typing import Any

from machines.evidence.run_sums import run_sums


def entry(kind: str, run: int, at: str, machine: str = "Band saw 2") -> dict[str, Any]:
    payload = {"run": run, "machine": {"id": 2, "name": machine}}
    return {"kind": kind, "at": at, "payload": json.dumps(payload)}


def test_adds_up_by_machine() -> None:
    sums = run_sums([
        entry("run.given", 1, "2026-10-12T17:00:00Z"),
        entry("run.started", 1, "2026-10-12T17:01:00Z"),
        entry("run.ended", 1, "2026-10-12T18:11:30Z"),
        entry("run.started", 2, "2026-10-13T17:00:00Z"),
        entry("run.ended", 2, "2026-10-13T17:09:45Z"),
        entry("run.started", 3, "2026-10-13T18:00:00Z", "Drill press 1"),
        entry("run.given", 4, "2026-10-13T19:00:00Z"),
        entry("run.ended", 4, "2026-10-13T19:05:00Z"),
    ])  # fmt: skip
    assert [(one.machine, one.runs, one.time) for one in sums] == [
        ("Band saw 2", 2, "1 h 20 min"),
        ("Drill press 1", 1, "0 min"),
    ]


def test_clock_set_back_takes_nothing_away() -> None:
    [one] = run_sums([
        entry("run.started", 1, "2026-10-12T17:01:00Z"),
        entry("run.ended", 1, "2026-10-12T16:11:30Z"),
    ])  # fmt: skip
    assert one.minutes == 0


def test_an_entry_written_again_counts_as_the_one_it_restates() -> None:
    payload = {
        "restates": {"entry": 1, "kind": "run.started", "at": "2026-10-12T17:01:00Z"},
        "run": 1,
        "machine": {"id": 2, "name": "Band saw 2"},
    }
    again = {"kind": "logbook.restated", "at": "2027-01-01T00:00:00Z", "payload": json.dumps(payload)}
    [one] = run_sums([again, entry("run.ended", 1, "2026-10-12T17:11:00Z")])
    assert one.minutes == 10
