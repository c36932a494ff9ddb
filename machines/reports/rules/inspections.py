"""When the inspection of a machine is due and when overdue, over the school's calendar.

Daily: on each school day. Weekly: in each week with a school day, by its last. Term: in the first five school days of
each term; an inspection in the break before the term counts for it. On weekends, days off and in breaks none is due.
"""

from collections.abc import Iterable
from datetime import date, timedelta

from machines.reports.facts import DueState, InspectionDue, Interval
from shopsafe.school.timetable.facts import Days, SchoolCalendar
from shopsafe.school.timetable.rules.school_days import next_school_day, school_days, week_of

TERM_SCHOOL_DAYS = 5  # so many school days into a term its inspection is due: common practice
ONE_DAY, SIX_DAYS = timedelta(days=1), timedelta(days=6)


def inspection_due(
    interval: Interval, inspected_on: Iterable[date], since: date, calendar: SchoolCalendar, today: date
) -> InspectionDue:
    """The next inspection of a machine that is inspected since `since`.

    `inspected_on`: the days of complete inspections. Days after `today` are left out: a clock was set back, or a page
    shows an earlier day.
    """
    last = max((day for day in inspected_on if day <= today), default=None)
    span = _span(interval, last, since, calendar)
    if span is None:
        return InspectionDue(DueState.NOT_DUE)
    if today < span.first:
        return InspectionDue(DueState.NOT_DUE, *span)
    return InspectionDue(DueState.DUE if today <= span.last else DueState.OVERDUE, *span)


def _span(interval: Interval, last: date | None, since: date, calendar: SchoolCalendar) -> Days | None:
    """The days in which the first inspection after `last` is to be done."""
    if interval is Interval.DAILY:
        day = next_school_day(calendar, _later(since, last, ONE_DAY))
        return Days(day, day) if day else None
    if interval is Interval.WEEKLY:
        after = None if last is None else week_of(last) + SIX_DAYS
        day = next_school_day(calendar, _later(since, after, ONE_DAY))
        return Days(day, max(school_days(calendar, day, week_of(day) + SIX_DAYS))) if day else None
    return _term_span(last, since, calendar)


def _later(since: date, last: date | None, step: timedelta) -> date:
    return since if last is None else max(since, last + step)


def _term_span(last: date | None, since: date, calendar: SchoolCalendar) -> Days | None:
    before = date.min
    for term in sorted(calendar.terms):
        inspected = last is not None and before < last <= term.last
        over = term.last < since or (last is not None and term.last < last)
        days = [] if inspected or over else list(school_days(calendar, max(term.first, since), term.last))
        if days:
            return Days(days[0], days[:TERM_SCHOOL_DAYS][-1])
        before = term.last
    return None
