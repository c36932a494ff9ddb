"""Moments in the demo's past."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from shopsafe.school.calendar import local_day


def school_morning(at: datetime, days_ago: int, zone: str) -> datetime:
    """Nine in the morning at the school, that many days ago; from a weekend it moves to the Friday before."""
    day = local_day(at, zone) - timedelta(days=days_ago)
    day -= timedelta(days=max(0, day.weekday() - 4))
    return datetime.combine(day, time(9, 0), ZoneInfo(zone))
