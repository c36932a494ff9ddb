"""When a job of the night is due, and what is wrong with one. Rules: no clock, no Django."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from shopsafe.language.kept import kept_words
from shopsafe.language.messages import _, marked
from shopsafe.school.calendar import local_day

NIGHT: Final = time(2, 0)  # at the school: no class is at work then
RETRY: Final = timedelta(hours=1)  # after a run that failed or stopped
SILENT: Final = timedelta(minutes=5)  # a process that runs a job is heard of every ten seconds
OVERDUE: Final = timedelta(days=2)

# By code, in the order in which they run: the backup holds the checkpoint, and what is erased is in no later backup.
NAMES: Final = {
    "checkpoint": marked("Logbook checkpoint"),
    "backup": marked("Backup"),
    "retention": marked("Records retention"),
}


@dataclass(frozen=True, slots=True)
class JobState:
    """What is known of a job: the moments of its last run, whether a process still runs it, and the result."""

    began_at: datetime | None = None
    beat_at: datetime | None = None
    running: bool = False
    failed: bool = False
    result: str = ""
    succeeded_at: datetime | None = None


def has_stopped(state: JobState, at: datetime) -> bool:
    """A process began the job and was not heard of for some minutes: it was ended from outside."""
    return state.running and state.beat_at is not None and at - state.beat_at > SILENT


def is_due(state: JobState, at: datetime, zone: str) -> bool:
    """Once a night; by day for a server that was off at night; an hour after a run that failed or stopped."""
    if state.began_at is None:
        return True
    if state.running and not has_stopped(state, at):
        return False
    if state.running or state.failed:
        return at - state.began_at >= RETRY
    return state.began_at < last_night(at, zone)


def last_night(at: datetime, zone: str) -> datetime:
    """The latest beginning of a night that is not after `at`."""
    tonight = datetime.combine(local_day(at, zone), NIGHT, ZoneInfo(zone))
    if at >= tonight:
        return tonight
    return datetime.combine(local_day(at, zone) - timedelta(days=1), NIGHT, ZoneInfo(zone))


def problem(state: JobState, at: datetime) -> str:
    """What the office must know of a job; "" if all is well."""
    if has_stopped(state, at):
        return _("The last run stopped before its end.")
    if state.failed:
        return kept_words(state.result)
    if state.began_at is not None and (state.succeeded_at is None or at - state.succeeded_at > OVERDUE):
        return "" if state.running else _("It has not run for two days.")
    return ""
