"""Facts of the timetable: school days, the day cycle and the times at which classes meet. Frozen values, no database.

Days and times of day are the school's own. Weekdays count from Monday = 0, as Python counts them.
"""

from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum
from typing import NamedTuple

MONDAY_TO_FRIDAY = frozenset(range(5))


class Days(NamedTuple):
    """A span of days, both ends included."""

    first: date
    last: date

    def __contains__(self, day: object) -> bool:
        return isinstance(day, date) and self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class SchoolCalendar:
    """School days: the weekdays of the terms without the days off; without terms, all such weekdays."""

    terms: tuple[Days, ...] = ()
    days_off: frozenset[date] = frozenset()
    weekdays: frozenset[int] = MONDAY_TO_FRIDAY


class CycleUnit(StrEnum):
    """What moves a cycle on: every school day ("A day, B day"), or every week with school ("A week, B week")."""

    DAY = "day"
    WEEK = "week"


class CycleStart(NamedTuple):
    """From this day on, the cycle counts from `place` (0 is the first name). The first school day has that place."""

    day: date
    place: int = 0


@dataclass(frozen=True, slots=True)
class Cycle:
    """Named days or weeks that follow each other: ("A", "B"), or ("1", "2", ... "6"). Days off do not use one up.

    starts   a school that sets the cycle by hand (a new term, a snow day that counts) adds a start
    """

    names: tuple[str, ...]
    starts: tuple[CycleStart, ...]
    unit: CycleUnit = CycleUnit.DAY


@dataclass(frozen=True, slots=True)
class MeetingTime:
    """A time at which a class meets, on each school day that fits all three conditions.

    weekdays     empty for any weekday
    cycle_days   places in the cycle; empty for any
    days         the span in which the class meets, such as its term; None for always
    ends         midnight, as an end, is the end of the day
    """

    section: int
    begins: time
    ends: time
    weekdays: frozenset[int] = frozenset()
    cycle_days: frozenset[int] = frozenset()
    days: Days | None = None


@dataclass(frozen=True, slots=True)
class Timetable:
    """When the classes of a school, a shop or a teacher meet. `zone` is the school's ("America/Chicago")."""

    zone: str
    calendar: SchoolCalendar
    meeting_times: tuple[MeetingTime, ...] = ()
    cycle: Cycle | None = None


@dataclass(frozen=True, slots=True)
class Meeting:
    """One meeting of a class on one day, from `begins_at` until the bell at `ends_at` (aware moments in UTC)."""

    section: int
    day: date
    begins_at: datetime
    ends_at: datetime
    cycle_day: str = ""


class HourReason(StrEnum):
    """Why a class is the class of the hour."""

    MEETS_NOW = "meets now"
    BEGINS_SOON = "begins soon"
    LAST_OPENED = "last opened"
    NO_CLASS = "no class"


@dataclass(frozen=True, slots=True)
class ClassOfTheHour:
    """The class that opens by itself. `meeting` where the timetable decided."""

    section: int | None
    reason: HourReason
    meeting: Meeting | None = None


class FaultCode(StrEnum):
    """What keeps a timetable from working as meant."""

    ENDS_BEFORE_IT_BEGINS = "time.ends-first"
    MEETS_TWICE = "time.overlap"
    NEVER_MEETS = "time.never"
    NO_CYCLE = "cycle.missing"
    NO_START = "cycle.no-start"
    NO_SUCH_CYCLE_DAY = "cycle.unknown-day"


@dataclass(frozen=True, slots=True)
class TimetableFault:
    """One fault, in words, and the class that it is about (None where it is about the cycle)."""

    code: FaultCode
    sentence: str
    section: int | None = None
