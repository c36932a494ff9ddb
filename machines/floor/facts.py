"""Facts of the shop in use, and the answers of its rules. Frozen values, no database; every moment is aware.

`at` is always the server's clock as it reads, and so are the moments of presence. Acts give their records a moment that
never lies before the last one. Presence must not do so: while a clock that was set back catches up, no time would pass,
and the shop would stay open.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import NamedTuple

PRESENCE_INTERVAL = timedelta(minutes=15)  # a teacher confirms at least so often; the shop may set its own
CLOSING_GRACE = timedelta(minutes=10)  # after the bell, an open shop is reported
STALE_AFTER = timedelta(seconds=60)  # a floor page without an update for so long says keep off
CLOCK_SKEW = timedelta(seconds=5)  # two processes read the clock at slightly different moments


# --- the shop ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Presence:
    """A teacher's last confirmation of being in the shop: the button, a sign-off or a start.

    latest_since   the latest moment on record after this confirmation, by order of the records; it shows that the clock
                   was set back since
    """

    confirmed_at: datetime
    by: str
    interval: timedelta = PRESENCE_INTERVAL
    latest_since: datetime | None = None


@dataclass(frozen=True, slots=True)
class ShopHour:
    """A shop as a teacher opened it for a class. `runs_ended_at`: "End all runs" was pressed and is still in force."""

    section: int
    opened_at: datetime
    opened_by: str
    presence: Presence
    closed_at: datetime | None = None
    runs_ended_at: datetime | None = None


class ShopStatus(StrEnum):
    """Whether machines may run in the shop at all. Only OPEN means yes."""

    OPEN = "open"
    CLOSED = "closed"
    PRESENCE_OVER = "presence over"
    CLOCK_CHANGED = "clock changed"
    RUNS_ENDED = "runs ended"


@dataclass(frozen=True, slots=True)
class ShopState:
    """The status in words. `until`: when presence runs out if no one confirms it; None unless open."""

    status: ShopStatus
    sentence: str
    until: datetime | None = None

    @property
    def is_open(self) -> bool:
        return self.status is ShopStatus.OPEN


@dataclass(frozen=True, slots=True)
class SupervisingGrant:
    """The permission for a substitute to run the shop with one class on named days."""

    section: int
    days: frozenset[date]
    by: str
    withdrawn_at: datetime | None = None


# --- runs -------------------------------------------------------------------------------------------------------


class Run(NamedTuple):
    """One student at one machine: given by the teacher, running once checked, over at standstill."""

    student: int
    machine: int
    given_at: datetime
    checked_at: datetime | None = None
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class MachineNow:
    """A machine as the floor knows it. Empty texts mean that it is not so.

    tagged_out   the reason, if the machine is tagged out
    kept_off     the reason, if a report or a teacher keeps it off
    user         the name of the student who has the machine; `user_key` the student's key
    """

    key: int
    name: str
    tagged_out: str = ""
    kept_off: str = ""
    user: str = ""
    user_key: int | None = None
    helpers: int = 0


@dataclass(frozen=True, slots=True)
class StudentNow:
    """A student as the floor knows the student.

    here        from "Here today"; None where the shop does not keep it
    cleared     by clearance at this moment; `why_not` in clearance's words
    on_hold     the hold's words, if one covers this machine
    busy_at     the name of another machine at which the student runs or helps
    """

    key: int
    name: str
    cleared: bool
    why_not: str = ""
    on_hold: str = ""
    busy_at: str = ""
    here: bool | None = None


@dataclass(frozen=True, slots=True)
class HelperNow:
    """A student named as helper. `may_help`: cleared as the machine type asks of helpers."""

    key: int
    name: str
    may_help: bool
    on_hold: str = ""
    busy_at: str = ""
    here: bool | None = None


@dataclass(frozen=True, slots=True)
class StartFacts:
    """Everything a start depends on. `given_at` and `checked_at` are those of this run; None if not yet."""

    shop: ShopHour | None
    machine: MachineNow
    student: StudentNow
    helpers: tuple[HelperNow, ...] = ()
    given_at: datetime | None = None
    checked_at: datetime | None = None


class StartRefusal(StrEnum):
    """Why a run may not start now. Closed: a page has an answer for each."""

    TAGGED_OUT = "machine.tagged-out"
    KEPT_OFF = "machine.kept-off"
    SHOP_CLOSED = "shop.closed"
    PRESENCE_OVER = "shop.presence-over"
    CLOCK_CHANGED = "shop.clock-changed"
    RUNS_ENDED = "shop.runs-ended"
    IN_USE = "machine.in-use"
    ON_HOLD = "student.on-hold"
    NOT_CLEARED = "student.not-cleared"
    NOT_HERE = "student.not-here"
    ELSEWHERE = "student.elsewhere"
    NOT_CHECKED = "check.missing"
    NO_HELPER = "helper.missing"
    HELPER_NOT_CLEARED = "helper.not-cleared"
    HELPER_ON_HOLD = "helper.on-hold"
    HELPER_ELSEWHERE = "helper.elsewhere"
    HELPER_NOT_HERE = "helper.not-here"


@dataclass(frozen=True, slots=True)
class StartReason:
    """One reason against a start, in words for the teacher. `about`: the key of the student or helper it names."""

    code: StartRefusal
    sentence: str
    about: int | None = None


# --- the floor page ---------------------------------------------------------------------------------------------


class TileState(StrEnum):
    """What a machine's tile shows. Only a student whom the teacher gave the machine may run it, whatever it shows."""

    FREE = "free"
    KEEP_OFF = "keep off"
    CHECKING = "checking"
    IN_USE = "in use"
    TAGGED_OUT = "tagged out"


@dataclass(frozen=True, slots=True)
class TileFacts:
    """A machine, its open run if there is one, and since when it is tagged out or kept off."""

    machine: MachineNow
    run: Run | None = None
    out_since: datetime | None = None
    off_since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Tile:
    """One tile. `since`: when the state began, where that is known.

    still_running   a run is open although the tile does not show it: the teacher confirms that the machine has stopped
    """

    machine: int
    state: TileState
    headline: str
    detail: str = ""
    since: datetime | None = None
    user: str = ""
    still_running: bool = False


@dataclass(frozen=True, slots=True)
class FloorView:
    """The tiles in the order given, how many show each state, and whether the page has had no news for too long."""

    tiles: tuple[Tile, ...]
    counts: dict[TileState, int]
    shop: ShopState
    stale: bool
    heard_at: datetime


# --- waiting lists ----------------------------------------------------------------------------------------------


class WaitingEntry(NamedTuple):
    """A student on the waiting list of a machine. `place` is the order of joining: it never changes."""

    student: int
    machine: int
    place: int


class WaitingPlace(NamedTuple):
    """A student in the order of the list; `blocked` says why the student is not the next one right now."""

    student: int
    place: int
    blocked: str = ""


# --- the closing list -------------------------------------------------------------------------------------------


class ClosingLine(NamedTuple):
    """One line of the shop's closing list. `standstill`: "all machines have stopped", refused while a run is open."""

    key: int
    text: str
    standstill: bool = False


class ClosingAnswer(NamedTuple):
    """What someone found on a line. `place` orders answers: of two on one line the later counts."""

    line: int
    done: bool
    seen_by: str
    place: int
    note: str = ""


class ClosingCode(StrEnum):
    """What keeps the closing list from being complete."""

    RUN_OPEN = "run.open"
    NOT_ANSWERED = "line.not-answered"
    NOT_SEEN = "line.not-seen"
    NO_NOTE = "line.no-note"
    NOT_STILL = "line.not-still"
    NO_LINES = "list.empty"


@dataclass(frozen=True, slots=True)
class ClosingProblem:
    """One thing left to do before the shop closes. `about`: the line, or the machine of the open run."""

    code: ClosingCode
    sentence: str
    about: int | None = None


@dataclass(frozen=True, slots=True)
class ClosingState:
    """The closing list. `not_done`: the lines answered "not done", with their notes, for the next teacher to see."""

    problems: tuple[ClosingProblem, ...]
    not_done: tuple[tuple[ClosingLine, ClosingAnswer], ...]
    answered: int
    lines: int

    @property
    def complete(self) -> bool:
        return not self.problems
