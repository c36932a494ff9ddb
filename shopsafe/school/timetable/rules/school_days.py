"""School days, and the place of each in the A/B or rotating cycle. Days off are skipped; the cycle loses nothing."""

from collections.abc import Iterator
from datetime import date, timedelta

from shopsafe.school.timetable.facts import Cycle, CycleStart, CycleUnit, SchoolCalendar

WEEK = timedelta(days=7)


def is_school_day(calendar: SchoolCalendar, day: date) -> bool:
    in_term = not calendar.terms or any(day in term for term in calendar.terms)
    return in_term and day.weekday() in calendar.weekdays and day not in calendar.days_off


def school_days(calendar: SchoolCalendar, first: date, last: date) -> Iterator[date]:
    """The school days from `first` to `last`, both included."""
    return (day for day in days_from(first, last) if is_school_day(calendar, day))


def next_school_day(calendar: SchoolCalendar, day: date, within: int = 400) -> date | None:
    """The first school day on or after `day`; None if there is none in so many days."""
    return next(school_days(calendar, day, day + timedelta(days=within)), None)


def week_of(day: date) -> date:
    """The Monday of the week of `day`."""
    return day - timedelta(days=day.weekday())


def cycle_places(cycle: Cycle, calendar: SchoolCalendar, first: date, last: date) -> dict[date, int]:
    """Each school day from `first` to `last` → its place in the cycle. Days before the first start have none."""
    places: dict[date, int] = {}
    if not cycle.names:
        return places
    for start in sorted(cycle.starts):
        places |= _places_after(start, cycle, calendar, last)  # a later start counts for the days from it on
    return {day: place for day, place in places.items() if day >= first}


def _places_after(start: CycleStart, cycle: Cycle, calendar: SchoolCalendar, last: date) -> dict[date, int]:
    days = list(school_days(calendar, start.day, last))
    if cycle.unit is CycleUnit.DAY:
        return {day: (start.place + count) % len(cycle.names) for count, day in enumerate(days)}
    weeks = sorted({week_of(day) for day in days})
    return {day: (start.place + weeks.index(week_of(day))) % len(cycle.names) for day in days}


def days_from(first: date, last: date) -> Iterator[date]:
    return (first + timedelta(days=count) for count in range((last - first).days + 1))
