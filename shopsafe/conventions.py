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

from shopsafe.language.messages import _, marked


class Conventions(StrEnum):
    """The month first with a clock of twelve hours, or the day first with a clock of twenty-four."""

    UNITED_STATES = "us"
    INTERNATIONAL = "international"


MONTHS = (
    marked("January"),
    marked("February"),
    marked("March"),
    marked("April"),
    marked("May"),
    marked("June"),
    marked("July"),
    marked("August"),
    marked("September"),
    marked("October"),
    marked("November"),
    marked("December"),
)
# "May" is both a long and a short name, and so is looked up once.
SHORT_MONTHS = (
    marked("Jan"),
    marked("Feb"),
    marked("Mar"),
    marked("Apr"),
    marked("May"),
    marked("Jun"),
    marked("Jul"),
    marked("Aug"),
    marked("Sep"),
    marked("Oct"),
    marked("Nov"),
    marked("Dec"),
)
# From Monday on, as Python counts them.
WEEKDAYS = (
    marked("Monday"),
    marked("Tuesday"),
    marked("Wednesday"),
    marked("Thursday"),
    marked("Friday"),
    marked("Saturday"),
    marked("Sunday"),
)
SHORT_WEEKDAYS = (
    marked("Mon"),
    marked("Tue"),
    marked("Wed"),
    marked("Thu"),
    marked("Fri"),
    marked("Sat"),
    marked("Sun"),
)
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
    month = _(MONTHS[day.month - 1])
    if _month_first():
        return _("{month} {day}, {year}", month=month, day=day.day, year=day.year)
    return _("{day} {month} {year}", month=month, day=day.day, year=day.year)


def written_short_day(day: date) -> str:
    """ "Oct 12" or "12 Oct": for a cell or a head that has room for no more."""
    month = _(SHORT_MONTHS[day.month - 1])
    if _month_first():
        return _("{month} {day}", month=month, day=day.day)
    return _("{day} {month}", month=month, day=day.day)


def written_weekday(day: date) -> str:
    return _(WEEKDAYS[day.weekday()])


def written_time(of_day: time | datetime, *, seconds: bool = False) -> str:
    """ "5:38 PM" or "17:38" of a local time; with seconds "5:38:04 PM" or "17:38:04"."""
    rest = f":{of_day:%S}" if seconds else ""
    if not _month_first():
        return f"{of_day:%H:%M}{rest}"
    clock = f"{of_day.hour % 12 or 12}:{of_day:%M}{rest}"
    return _("{time} AM", time=clock) if of_day.hour < 12 else _("{time} PM", time=clock)


def written_moment(at: datetime, zone: str, *, seconds: bool = False) -> str:
    """ "October 12, 2026, 5:38 PM" or "12 October 2026, 17:38", at the school."""
    local = at.astimezone(ZoneInfo(zone))
    return _("{day}, {time}", day=written_day(local), time=written_time(local, seconds=seconds))


def written_distance(metres: float) -> str:
    """ "10 ft" or "3 m" of how far away print is read: to the nearest half foot, or as given."""
    if _month_first():
        return _("{distance} ft", distance=f"{round(2 * metres / METRES_IN_A_FOOT) / 2:g}")
    return _("{distance} m", distance=f"{metres:g}")


def uses_inches() -> bool:
    """Inches and feet, or millimeters and meters."""
    return _month_first()


def usual_paper() -> str:
    """The code of the paper that printers of the school hold."""
    return "letter" if _month_first() else "a4"
