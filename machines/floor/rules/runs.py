"""Machine time out of runs: from the pre-use check to standstill. For fairness, last use and exposure hours."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from machines.floor.facts import Run


def running_time(run: Run, at: datetime) -> timedelta:
    """How long the machine ran, up to `at` for an open run. Nothing if it never started or the clock was set back."""
    if run.checked_at is None:
        return timedelta(0)
    end = at if run.ended_at is None else run.ended_at
    return max(end.astimezone(UTC) - run.checked_at.astimezone(UTC), timedelta(0))


def minutes_by_student_and_machine(runs: Iterable[Run], at: datetime) -> dict[tuple[int, int], int]:
    """(student, machine) → whole minutes, rounded down once for the sum."""
    times: dict[tuple[int, int], timedelta] = {}
    for run in runs:
        pair = (run.student, run.machine)
        times[pair] = times.get(pair, timedelta(0)) + running_time(run, at)
    return {pair: time // timedelta(minutes=1) for pair, time in times.items()}


def hours(runs: Iterable[Run], at: datetime) -> float:
    """Exposure hours of all runs together."""
    return sum((running_time(run, at) for run in runs), timedelta(0)) / timedelta(hours=1)


def last_use(runs: Iterable[Run]) -> dict[tuple[int, int], datetime]:
    """(student, machine) → when the student last brought that machine to a standstill."""
    latest: dict[tuple[int, int], datetime] = {}
    for run in runs:
        if run.ended_at is not None and run.checked_at is not None:
            pair = (run.student, run.machine)
            latest[pair] = max(run.ended_at, latest.get(pair, run.ended_at))
    return latest
