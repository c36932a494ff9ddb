"""Facts of hazard reports, inspections, returns to service and incidents, and the answers of their rules."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from shopsafe.language.messages import _, marked

# --- hazard reports ---------------------------------------------------------------------------------------------


class HazardKind(StrEnum):
    """What a person saw. Codes are stored and stay."""

    GUARD = "guard"
    BROKEN = "broken"
    ABRASIVE = "abrasive"
    CORD = "cord"
    SMOKE = "smoke"
    WILL_NOT_STOP = "will-not-stop"
    INSPECTION = "inspection"  # recorded by an inspection, never offered to a person who reports
    WILL_NOT_START = "will-not-start"
    NOISE = "noise"
    FLOOR = "floor"
    BEHAVIOR = "behavior"
    OTHER = "other"


class ReportEffect(StrEnum):
    """What a report does by itself. Only a teacher tags out or clears the report."""

    KEEP_OFF = "keep off until the teacher looks"
    FLAG = "flag"


# --- inspections ------------------------------------------------------------------------------------------------


class Interval(StrEnum):
    """How often a list is gone through: every school day, every week with school, every term."""

    DAILY = marked("daily")
    WEEKLY = marked("weekly")
    TERM = marked("term")

    @property
    def words(self) -> str:
        """The name of the interval; INTERVAL_WORDS says how often."""
        return _(self.value)


INTERVAL_WORDS = {
    Interval.DAILY: marked("daily"),
    Interval.WEEKLY: marked("weekly"),
    Interval.TERM: marked("each term"),
}


class LineAnswer(StrEnum):
    """The answer to one line of an inspection."""

    YES = "yes"
    NO = "no"
    NOT_APPLICABLE = "doesn't apply"


@dataclass(frozen=True, slots=True)
class InspectionLine:
    """One line, written so that "yes" is good, and where the requirement comes from."""

    says: str
    source: str


@dataclass(frozen=True, slots=True)
class InspectionList:
    """The lines of one machine type for one interval. `kind` is the type's code."""

    kind: str
    interval: Interval
    lines: tuple[InspectionLine, ...]


class DueState(StrEnum):
    """Whether an inspection is to be done."""

    NOT_DUE = "not due"
    DUE = "due"
    OVERDUE = "overdue"


@dataclass(frozen=True, slots=True)
class InspectionDue:
    """The next inspection: to be done from `first_day` to `due_by`. Both None while the calendar has no school day."""

    state: DueState
    first_day: date | None = None
    due_by: date | None = None


# --- return to service ------------------------------------------------------------------------------------------


class GivenAnswer(NamedTuple):
    """What the teacher answered to a line of the inspection list."""

    line: int
    answer: LineAnswer


@dataclass(frozen=True, slots=True)
class ReturnFacts:
    """A teacher wants to return a machine to service. Whether the person is a teacher of the shop is asked before.

    tagged_out_by, by   keys of persons; `tagged_out_name` for the sentence
    reason              why a second teacher returns the machine; not asked of the teacher who tagged it out
    lines               the lines of the inspection list, by key
    answered_at         when the list was answered
    finding             what was repaired and checked, in words
    """

    tagged_out_by: int
    tagged_out_name: str
    tagged_out_at: datetime
    by: int
    lines: dict[int, str]
    answers: tuple[GivenAnswer, ...]
    answered_at: datetime
    finding: str = ""
    reason: str = ""


class ReturnRefusal(StrEnum):
    """Why a machine stays out of service."""

    NOT_ANSWERED = "line.not-answered"
    ANSWERED_NO = "line.no"
    ANSWERED_TWICE = "line.twice"
    ANSWERED_EARLY = "list.answered-early"
    NO_WORDS = "found.empty"
    NO_REASON = "reason.empty"


@dataclass(frozen=True, slots=True)
class ReturnReason:
    """One reason against the return, in words. `line`: the key of the line it is about."""

    code: ReturnRefusal
    sentence: str
    line: int | None = None


# --- rates ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class IncidentRate:
    """Events per 1000 hours of runs with their exact interval; `words` for the page."""

    events: int
    hours: float
    per_1000: float
    lower: float
    upper: float
    words: str


# --- the calendar feed ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """A whole-day entry from `day` to `last_day` (both included). `uid` stays the same whenever the feed is fetched."""

    uid: str
    day: date
    title: str
    text: str = ""
    last_day: date | None = None
