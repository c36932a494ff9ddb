"""How days, times and distances are written: as the school at hand writes them. Rules: no Django, no clock.

Which conventions hold is set around a request, a command or a print (`conventions_in_use`), as a language is, so that
no rule has to hand them on.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime, time
from enum import StrEnum
from zoneinfo import ZoneInfo


class Conventions(StrEnum):
    """The month first with a clock of twelve hours, or the day first with a clock of twenty-four."""

    UNITED_STATES = "us"
    INTERNATIONAL = "international"


METRES_IN_A_FOOT = 0.3048  # NIST Special Publication 811, appendix B

_ask: ContextVar[Callable[[], str]] = ContextVar("conventions", default=lambda: Conventions.UNITED_STATES)


@contextmanager
def conventions_in_use(conventions: str | Callable[[], str]) -> Iterator[None]:
    """What is written inside follows these conventions; a function is asked when the first date is written."""
    token = _ask.set(conventions if callable(conventions) else lambda: conventions)
    try:
        yield
    finally:
        _ask.reset(token)


def _month_first() -> bool:
    return Conventions(_ask.get()()) is Conventions.UNITED_STATES


def written_day(day: date | None) -> str:
    """ "October 12, 2026" or "12 October 2026"; nothing for no day."""
    if day is None:
        return ""
    return f"{day:%B} {day.day}, {day.year}" if _month_first() else f"{day.day} {day:%B} {day.year}"


def written_short_day(day: date) -> str:
    """ "Oct 12" or "12 Oct": for a cell or a head that has room for no more."""
    return f"{day:%b} {day.day}" if _month_first() else f"{day.day} {day:%b}"


def written_time(of_day: time | datetime, *, seconds: bool = False) -> str:
    """ "5:38 PM" or "17:38" of a local time; with seconds "5:38:04 PM" or "17:38:04"."""
    rest = f":{of_day:%S}" if seconds else ""
    if not _month_first():
        return f"{of_day:%H:%M}{rest}"
    return f"{of_day.hour % 12 or 12}:{of_day:%M}{rest} {'AM' if of_day.hour < 12 else 'PM'}"


def written_moment(at: datetime, zone: str, *, seconds: bool = False) -> str:
    """ "October 12, 2026, 5:38 PM" or "12 October 2026, 17:38", at the school."""
    local = at.astimezone(ZoneInfo(zone))
    return f"{written_day(local)}, {written_time(local, seconds=seconds)}"


def written_distance(metres: float) -> str:
    """ "10 ft" or "3 m" of how far away print is read: to the nearest half foot, or as given."""
    return f"{round(2 * metres / METRES_IN_A_FOOT) / 2:g} ft" if _month_first() else f"{metres:g} m"


def usual_paper() -> str:
    """The code of the paper that printers of the school hold."""
    return "letter" if _month_first() else "a4"
