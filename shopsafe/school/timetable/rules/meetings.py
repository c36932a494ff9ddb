"""Meetings of classes: on a day, at a moment, the next one, and the class of the hour."""

from collections.abc import Collection, Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shopsafe.school.calendar import end_of_day, local_day
from shopsafe.school.timetable.facts import ClassOfTheHour, HourReason, Meeting, MeetingTime, Timetable
from shopsafe.school.timetable.rules.school_days import cycle_places, school_days

SOON = timedelta(minutes=10)  # a class on its way in is the class of the hour already
A_YEAR_AND_MORE = 400  # days: the next meeting is within a school year, or nowhere


def meetings_on(timetable: Timetable, day: date) -> tuple[Meeting, ...]:
    """The meetings of that day, the earliest first."""
    return tuple(_meetings(timetable, day, day))


def meeting_at(timetable: Timetable, at: datetime, sections: Collection[int] | None = None) -> Meeting | None:
    """The meeting that goes on at `at` (aware), of `sections` or of any class; of two, the one that began last."""
    going_on = [
        meeting
        for meeting in meetings_on(timetable, local_day(at, timetable.zone))
        if meeting.begins_at <= at < meeting.ends_at and _is_of(meeting, sections)
    ]
    return max(going_on, key=lambda meeting: meeting.begins_at, default=None)


def next_meeting(timetable: Timetable, at: datetime, sections: Collection[int] | None = None) -> Meeting | None:
    """The first meeting that begins after `at`; None if there is none within a year and a month."""
    today = local_day(at, timetable.zone)
    coming = _meetings(timetable, today, today + timedelta(days=A_YEAR_AND_MORE))
    return next((meeting for meeting in coming if meeting.begins_at > at and _is_of(meeting, sections)), None)


def class_of_the_hour(
    timetable: Timetable,
    at: datetime,
    sections: Collection[int],
    last_opened: int | None = None,
    soon: timedelta = SOON,
) -> ClassOfTheHour:
    """The class that meets now; else the one that begins soon; else the one opened last, if it is of `sections`."""
    if (meeting := meeting_at(timetable, at, sections)) is not None:
        return ClassOfTheHour(meeting.section, HourReason.MEETS_NOW, meeting)
    coming = _meetings(timetable, local_day(at, timetable.zone), local_day(at + soon, timetable.zone))
    for meeting in coming:
        if at < meeting.begins_at <= at + soon and _is_of(meeting, sections):
            return ClassOfTheHour(meeting.section, HourReason.BEGINS_SOON, meeting)
    if last_opened is not None and last_opened in sections:
        return ClassOfTheHour(last_opened, HourReason.LAST_OPENED)
    return ClassOfTheHour(None, HourReason.NO_CLASS)


def _is_of(meeting: Meeting, sections: Collection[int] | None) -> bool:
    return sections is None or meeting.section in sections


def _meetings(timetable: Timetable, first: date, last: date) -> Iterator[Meeting]:
    """The meetings of these days in the order in which they begin; those of one moment as they are listed."""
    cycle, calendar = timetable.cycle, timetable.calendar
    places = cycle_places(cycle, calendar, first, last) if cycle else {}
    for day in school_days(calendar, first, last):
        place = places.get(day)
        name = cycle.names[place] if cycle and place is not None else ""
        held = [
            _meeting(row, day, name, timetable.zone) for row in timetable.meeting_times if takes_place(row, day, place)
        ]
        yield from sorted((meeting for meeting in held if meeting), key=lambda meeting: meeting.begins_at)


def takes_place(row: MeetingTime, day: date, place: int | None) -> bool:
    """Return True if the class meets on this school day, at `place` in the cycle."""
    in_span = row.days is None or day in row.days
    on_weekday = not row.weekdays or day.weekday() in row.weekdays
    return in_span and on_weekday and (not row.cycle_days or place in row.cycle_days)


def _meeting(row: MeetingTime, day: date, cycle_day: str, zone: str) -> Meeting | None:
    """None for a meeting that falls into the hour that the clock skips when daylight saving time begins."""
    begins_at = _moment(day, row.begins, zone)
    ends_at = end_of_day(day, zone) if row.ends == time.min else _moment(day, row.ends, zone)
    return Meeting(row.section, day, begins_at, ends_at, cycle_day) if begins_at < ends_at else None


def _moment(day: date, at: time, zone: str) -> datetime:
    """The moment of that time on the school's clock; of an hour that comes twice, the first."""
    return datetime.combine(day, at, ZoneInfo(zone)).astimezone(UTC)
