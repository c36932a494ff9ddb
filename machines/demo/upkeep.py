"""How the demo shop looks after its machines: reports long past, a repair, inspections, one of them overdue."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from machines.demo.days import Lived
from machines.models import Machine, TagOut
from machines.reports.facts import Interval, LineAnswer
from machines.reports.hazards.acts import Sighting, clear_report, report_hazard
from machines.reports.inspections.acts.inspections import inspect
from machines.reports.inspections.acts.lists import start_inspections
from machines.reports.inspections.acts.service import ServiceDone, record_service
from machines.reports.inspections.lists import lists_of_kind
from machines.reports.rules.inspections import TERM_SCHOOL_DAYS
from machines.tag_outs.acts import ReturnWords, return_to_service, tag_out
from shopsafe.school.people.queries import students_of
from shopsafe.school.timetable.rules.school_days import week_of

if TYPE_CHECKING:
    from machines.demo.build import Demo

BEGAN = 9  # days ago: inspections in the program; longer than a term's inspection may take
LEFT_OUT = 4  # the number of the machine whose list of the term no one went through
MINUTE = timedelta(minutes=1)


def upkeep(demo: "Demo") -> list[Lived]:
    return [_noise(demo), _guard(demo), _new_blade(demo), _inspections(demo)]


def _machine(demo: "Demo", number: int) -> Machine:
    return next(machine for machine in demo.machines if machine.number == number)


def _noise(demo: "Demo") -> Lived:
    """A report that only flags its machine, and was cleared."""
    machine, student, at = _machine(demo, 2), list(students_of(demo.sections[0]))[3], demo.ago(34, 130)
    yield at
    seen = Sighting("noise", "It hums when the table moves.")
    report = report_hazard(shop=machine.shop, machine=machine, seen=seen, by=student, tap=uuid4(), at=at)
    at += 20 * MINUTE
    yield at
    clear_report(
        report=report, finding="The vise lay loose on the table. Bolted down.", by=demo.staff["ferrant"], at=at
    )


def _guard(demo: "Demo") -> Lived:
    """A report that kept its machine off, the tag-out that followed, and the return after the whole list: in the
    afternoon, when no one is signed off."""
    machine, student, at = _machine(demo, 3), list(students_of(demo.sections[2]))[1], demo.ago(27, 240)
    yield at
    seen = Sighting("guard", "The upper guard slides down by itself.")
    report_hazard(shop=machine.shop, machine=machine, seen=seen, by=student, tap=uuid4(), at=at)
    at += 10 * MINUTE
    yield at
    reason = "The lock of the upper guard does not hold."
    row = tag_out(machine=machine, reason=reason, by=demo.staff["quarles"], tap=uuid4(), at=at)
    at += 60 * MINUTE
    yield at
    _returned(row, demo, at)


def _returned(row: TagOut, demo: "Demo", at: datetime) -> None:
    lists = lists_of_kind(row.machine.kind, at)
    answers = dict.fromkeys(range(len(lists.lines())), LineAnswer.YES)
    words = ReturnWords("New lock screw, guard set and tried at three heights.", parts="Lock screw")
    by = demo.staff["quarles"]
    return_to_service(tag_out=row, answers=answers, seen=lists.digest(), words=words, by=by, at=at)


def _new_blade(demo: "Demo") -> Lived:
    machine, at = _machine(demo, 3), demo.ago(20, 30)
    yield at
    done = ServiceDone(
        at.date(), "New blade, tracked and tensioned.", demo.staff["ferrant"].name, "Blade 1/2 in, 4 TPI"
    )
    record_service(machine=machine, done=done, by=demo.staff["ferrant"], tap=uuid4(), at=at)


def _inspections(demo: "Demo") -> Lived:
    """Begun with the starter lists; since then each list once in its interval, but one."""
    ferrant, at = demo.staff["ferrant"], demo.ago(BEGAN, 5)
    yield at
    start_inspections(shop=demo.machines[0].shop, by=ferrant, at=at)
    mornings = sorted({demo.ago(days, 10) for days in range(BEGAN, 0, -1)})
    done: set[tuple[int, Interval, object]] = set()
    for morning in mornings:
        at = morning
        for machine in demo.machines:
            for interval in Interval:
                turn = (machine.pk, interval, _turn(interval, morning))
                if turn in done or not _goes_through(machine, interval):
                    continue
                done.add(turn)
                at += MINUTE
                yield at
                _inspect(machine, interval, demo, at)


def _goes_through(machine: Machine, interval: Interval) -> bool:
    return not (machine.number == LEFT_OUT and interval is Interval.TERM)


def _turn(interval: Interval, morning: datetime) -> object:
    """What each list is gone through once for: the day, the week, the term."""
    return {Interval.DAILY: morning, Interval.WEEKLY: week_of(morning.date()), Interval.TERM: TERM_SCHOOL_DAYS}[
        interval
    ]


def _inspect(machine: Machine, interval: Interval, demo: "Demo", at: datetime) -> None:
    lists = lists_of_kind(machine.kind, at)
    lines = lists.lines(interval)
    if not lines:
        return
    answers = {
        place: LineAnswer.NOT_APPLICABLE if line.says.startswith("An emergency stop") else LineAnswer.YES
        for place, line in enumerate(lines)
    }
    seen, by = lists.digest(interval), demo.staff["ferrant"]
    inspect(
        machine=machine, interval=interval, answers=answers, seen=seen, words="", by=by, tap=uuid4(), at=at,
    )  # fmt: skip
