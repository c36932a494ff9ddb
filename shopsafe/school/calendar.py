"""School days and school years, in the school's own time zone. Rules: no clock, no Django."""

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

# One object each, so that `is` recognizes what never ends.
FOREVER = datetime.max.replace(tzinfo=UTC)
NEVER = datetime.min.replace(tzinfo=UTC)


def full_minute_after(end: datetime) -> datetime:
    """The first full minute at which a wait is over, 10:43 of 10:42:08: what is written on a page is kept."""
    return (end + timedelta(seconds=59, microseconds=999_999)).replace(second=0, microsecond=0)


def local_day(at: datetime, zone: str) -> date:
    """The calendar day at the school when it is `at` (an aware moment)."""
    return at.astimezone(ZoneInfo(zone)).date()


def start_of_day(day: date, zone: str) -> datetime:
    """The first moment of `day` at the school, in UTC."""
    return datetime.combine(day, time.min, ZoneInfo(zone)).astimezone(UTC)


@lru_cache(maxsize=4096)  # one class asks for the same few days a thousand times
def end_of_day(day: date, zone: str) -> datetime:
    """The moment `day` is over at the school, in UTC: the first moment of the next day.

    "Valid until 15 January" is true while `at < end_of_day(15 January)`. Counting from the next midnight
    keeps this right on days of 23 or 25 hours.
    """
    return start_of_day(day + timedelta(days=1), zone)


def school_year(day: date, first_month: int) -> int:
    """The year in which the school year that holds `day` began, for years that begin in `first_month` (1 to 12)."""
    return day.year if day.month >= first_month else day.year - 1


def school_year_name(start: int, first_month: int) -> str:
    """How a school year is written: "2026–27", or "2026" where it is the calendar year."""
    return str(start) if first_month == 1 else f"{start}–{(start + 1) % 100:02d}"
