"""When the demo's classes meet: around the hour in which the demo is loaded, so that Today opens on a class at work."""

from datetime import datetime, time
from zoneinfo import ZoneInfo

from shopsafe.school.models import Person, Section
from shopsafe.school.timetable.acts import NewTime, set_meeting_times

WEEKDAYS = (0, 1, 2, 3, 4)
LONG, USUAL = 3, 1  # hours
DAY = 24


def meeting_hours(hour: int, classes: int) -> list[tuple[int, int] | None]:
    """The first and the last hour of each class: the first class meets in this hour and the two after it, the others
    before and after in turn. None for a class that no longer fits into the day."""
    end = min(hour + LONG, DAY)
    spans: list[tuple[int, int] | None] = [(hour, end)]
    earlier, later = hour, end
    for number in range(1, classes):
        if number % 2 and earlier >= USUAL:
            spans.append((earlier - USUAL, earlier))
            earlier -= USUAL
        elif later + USUAL <= DAY:
            spans.append((later, later + USUAL))
            later += USUAL
        else:
            spans.append(None)
    return spans


def set_demo_timetable(sections: list[Section], by: Person, at: datetime, loaded: datetime) -> None:
    """Set at the moment `at`, around the hour of `loaded` at the school."""
    hour = loaded.astimezone(ZoneInfo(by.school.time_zone)).hour
    for section, span in zip(sections, meeting_hours(hour, len(sections)), strict=True):
        if span is not None:
            times = [NewTime(time(span[0]), time(span[1] % DAY), WEEKDAYS)]
            set_meeting_times(section=section, times=times, by=by, at=at)
