"""Faults in a timetable: times that never come, times that overlap, and cycle days that the cycle does not have."""

from collections.abc import Iterator
from datetime import date, time
from itertools import combinations

from shopsafe.language.messages import _, marked
from shopsafe.school.timetable.facts import Cycle, FaultCode, MeetingTime, Timetable, TimetableFault

SENTENCES = {
    FaultCode.ENDS_BEFORE_IT_BEGINS: marked("The end must be after the beginning."),
    FaultCode.MEETS_TWICE: marked("Two times of this class overlap. Change one of them."),
    FaultCode.NEVER_MEETS: marked("This time never comes: no school day fits it."),
    FaultCode.NO_CYCLE: marked("This time is for certain days of the cycle. Set up the cycle, or choose weekdays."),
    FaultCode.NO_START: marked("Say on which day the cycle begins."),
    FaultCode.NO_SUCH_CYCLE_DAY: marked("The cycle has fewer days than this time or this start names."),
}


def faults(timetable: Timetable) -> tuple[TimetableFault, ...]:
    """Every fault, those of the cycle first; empty for a timetable that works."""
    return (*_cycle_faults(timetable.cycle), *_time_faults(timetable), *_overlaps(timetable))


def _fault(code: FaultCode, section: int | None = None) -> TimetableFault:
    return TimetableFault(code, _(SENTENCES[code]), section)


def _cycle_faults(cycle: Cycle | None) -> Iterator[TimetableFault]:
    if cycle is None:
        return
    if not cycle.starts or not cycle.names:
        yield _fault(FaultCode.NO_START)
    if any(not 0 <= start.place < len(cycle.names) for start in cycle.starts):
        yield _fault(FaultCode.NO_SUCH_CYCLE_DAY)


def _time_faults(timetable: Timetable) -> Iterator[TimetableFault]:
    cycle_days = range(len(timetable.cycle.names)) if timetable.cycle else None
    for row in timetable.meeting_times:
        if _end(row) <= row.begins:
            yield _fault(FaultCode.ENDS_BEFORE_IT_BEGINS, row.section)
        if row.cycle_days and cycle_days is None:
            yield _fault(FaultCode.NO_CYCLE, row.section)
        elif cycle_days is not None and not row.cycle_days <= set(cycle_days):
            yield _fault(FaultCode.NO_SUCH_CYCLE_DAY, row.section)
        no_weekday = bool(row.weekdays) and not row.weekdays & timetable.calendar.weekdays
        if no_weekday or (row.days is not None and row.days.last < row.days.first):
            yield _fault(FaultCode.NEVER_MEETS, row.section)


def _overlaps(timetable: Timetable) -> Iterator[TimetableFault]:
    for row, other in combinations(timetable.meeting_times, 2):
        if row.section == other.section and _may_meet_on_one_day(row, other) and _share_minutes(row, other):
            yield _fault(FaultCode.MEETS_TWICE, row.section)


def _may_meet_on_one_day(row: MeetingTime, other: MeetingTime) -> bool:
    """Without the calendar: weekdays and cycle days come together sooner or later."""
    weekdays = not row.weekdays or not other.weekdays or bool(row.weekdays & other.weekdays)
    cycle_days = not row.cycle_days or not other.cycle_days or bool(row.cycle_days & other.cycle_days)
    return weekdays and cycle_days and _first(row) <= _last(other) and _first(other) <= _last(row)


def _share_minutes(row: MeetingTime, other: MeetingTime) -> bool:
    return row.begins < _end(other) and other.begins < _end(row)


def _end(row: MeetingTime) -> time:
    return time.max if row.ends == time.min else row.ends


def _first(row: MeetingTime) -> date:
    return row.days.first if row.days else date.min


def _last(row: MeetingTime) -> date:
    return row.days.last if row.days else date.max
