"""A moment as it is typed: "2026-11-03T10:40", at the school where no zone is given; a bare day means its end."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from shopsafe.school.calendar import end_of_day


def read_moment(text: str, zone: str) -> datetime:
    """Raises ValueError where it is no moment, or one beyond the calendar."""
    text = text.strip()
    try:
        day = date.fromisoformat(text)
    except ValueError:
        at = datetime.fromisoformat(text)
        at = at.replace(tzinfo=ZoneInfo(zone)) if at.tzinfo is None else at
    else:
        at = end_of_day(day, zone) - datetime.resolution
    if not date(1970, 1, 2) < at.date() < date(9000, 1, 1):
        raise ValueError("beyond the calendar")
    return at


def write_moment(at: datetime, zone: str) -> str:
    """As a form's date and time field wants it: "2026-11-03T10:40", at the school."""
    return f"{at.astimezone(ZoneInfo(zone)):%Y-%m-%dT%H:%M}"
