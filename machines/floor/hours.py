"""Machine time out of runs: for each student and machine the minutes and the last use, and the hours of a machine."""

from dataclasses import dataclass
from datetime import datetime

from machines.floor.facts import Run as RunFact
from machines.floor.rules.runs import hours, last_use, minutes_by_student_and_machine
from machines.models import Run
from shopsafe.school.models import Person, Shop


@dataclass(frozen=True)
class MachineTime:
    """One student at one machine, in sum. `last` is when the student last brought it to a standstill."""

    student: int
    machine: int
    runs: int
    minutes: int
    last: datetime | None


def facts_of(shop: Shop, at: datetime, student: Person | None = None) -> list[RunFact]:
    """The runs in a shop that were started by `at`, as facts; of one student, if one is given. One query."""
    rows = Run.objects.filter(machine__shop=shop, started_at__lte=at)
    if student is not None:
        rows = rows.filter(student=student)
    columns = ("student", "machine", "given_at", "started_at", "ended_at")
    return [
        RunFact(student_key, machine, given, started, ended if ended is not None and ended <= at else None)
        for student_key, machine, given, started, ended in rows.order_by("pk").values_list(*columns)
    ]


def machine_times(shop: Shop, at: datetime, student: Person | None = None) -> list[MachineTime]:
    """Each student's time at each machine of a shop, the most first. One query."""
    runs = facts_of(shop, at, student)
    minutes, last = minutes_by_student_and_machine(runs, at), last_use(runs)
    counts: dict[tuple[int, int], int] = {}
    for run in runs:
        counts[run.student, run.machine] = counts.get((run.student, run.machine), 0) + 1
    times = [MachineTime(*pair, counts[pair], minutes[pair], last.get(pair)) for pair in counts]
    return sorted(times, key=lambda time: (-time.minutes, time.student, time.machine))


def exposure_hours(shop: Shop, at: datetime) -> dict[int, float]:
    """Machine → the hours that it ran under any student. One query."""
    by_machine: dict[int, list[RunFact]] = {}
    for run in facts_of(shop, at):
        by_machine.setdefault(run.machine, []).append(run)
    return {machine: hours(runs, at) for machine, runs in by_machine.items()}
