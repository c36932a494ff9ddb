"""Until when an incident report is due, and until when it is kept, as the school sets it.

The start values follow 29 CFR 1904.29(b)(3), seven calendar days, and 1904.33(a), five years after the end of the year.
Those rules are about employees; for students they are a model, and the district's rules come first.
"""

from datetime import date, timedelta

DUE_DAYS = 7
KEEP_YEARS = 5


def incident_due(day: date, days: int = DUE_DAYS) -> date:
    """The last day for the report of an incident on `day`."""
    return day + timedelta(days=days)


def keep_until(day: date, years: int = KEEP_YEARS) -> date:
    """The last day on which the report of an incident on `day` is kept: the end of a calendar year."""
    return date(min(day.year + years, date.max.year), 12, 31)


def is_incident_overdue(day: date, today: date, days: int = DUE_DAYS) -> bool:
    """Return True if the report of an incident on `day` should be complete by now."""
    return today > incident_due(day, days)
