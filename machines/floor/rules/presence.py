"""Whether the shop is open now: opened by a teacher, not closed, and a teacher's presence confirmed recently enough.

In doubt it is not open. Durations are counted in UTC, so daylight saving neither adds an hour nor takes one away.
"""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from machines.floor.facts import (
    CLOCK_SKEW,
    CLOSING_GRACE,
    Presence,
    ShopHour,
    ShopState,
    ShopStatus,
    SupervisingGrant,
)
from shopsafe.language.messages import _, marked

SENTENCES = {
    ShopStatus.OPEN: marked("The shop is open."),
    ShopStatus.CLOSED: marked("The shop is closed."),
    ShopStatus.PRESENCE_OVER: marked("No teacher has confirmed being here."),
    ShopStatus.CLOCK_CHANGED: marked("The server's clock was changed. The teacher must confirm being here."),
    ShopStatus.RUNS_ENDED: marked("The teacher ended all runs."),
}


def shop_state(hour: ShopHour | None, at: datetime) -> ShopState:
    """The state of the shop at `at`. `hour` is the last opening, None if there was none."""
    if hour is None or hour.closed_at is not None:
        return _state(ShopStatus.CLOSED)
    if is_from_the_future(hour.presence, at):
        return _state(ShopStatus.CLOCK_CHANGED)
    until = presence_ends(hour.presence)
    if _utc(at) >= until:
        return _state(ShopStatus.PRESENCE_OVER)
    if hour.runs_ended_at is not None:
        return _state(ShopStatus.RUNS_ENDED)
    return _state(ShopStatus.OPEN, until)


def presence_ends(presence: Presence) -> datetime:
    """The moment at which the confirmation is no longer good, in UTC."""
    return _utc(presence.confirmed_at) + presence.interval


def presence_left(presence: Presence, at: datetime) -> timedelta:
    """How long the confirmation is still good; nothing if it is over or the clock was set back."""
    if is_from_the_future(presence, at):
        return timedelta(0)
    left = presence_ends(presence) - _utc(at)
    return min(max(left, timedelta(0)), presence.interval)


def is_from_the_future(presence: Presence, at: datetime) -> bool:
    """Return True if the clock was set back: by the clock, the confirmation or a record after it is still to come."""
    latest = max(_utc(presence.confirmed_at), _utc(presence.latest_since or presence.confirmed_at))
    return latest > _utc(at) + CLOCK_SKEW


def is_closing_overdue(hour: ShopHour | None, bell: datetime | None, at: datetime) -> bool:
    """Return True if the class is over by ten minutes and no one went through the closing list.

    `bell` is the end of the meeting for which the shop was opened; without a timetable there is none.
    """
    if hour is None or hour.closed_at is not None or bell is None:
        return False
    return _utc(at) >= _utc(bell) + CLOSING_GRACE


def substitute_may_open(grants: Iterable[SupervisingGrant], section: int, day: date, at: datetime) -> bool:
    """Return True if a substitute may open the shop for the class: only by a grant for that class and day."""
    return any(
        grant.section == section
        and day in grant.days
        and (grant.withdrawn_at is None or _utc(at) < _utc(grant.withdrawn_at))
        for grant in grants
    )


def _state(status: ShopStatus, until: datetime | None = None) -> ShopState:
    return ShopState(status, _(SENTENCES[status]), until)


def _utc(at: datetime) -> datetime:
    # Two moments of one zone subtract by the clock on the wall, an hour off when daylight saving changes between them.
    return at.astimezone(UTC)
