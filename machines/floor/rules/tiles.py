"""What each machine's tile on the floor page shows. No news, no teacher, any doubt: keep off.

From the most binding down: tagged out; keep off (no news, shop not open, a report or the teacher); checking; in use;
free. A run that is still open under "tagged out" or "keep off" is named, so that the teacher confirms the standstill.
"""

from collections.abc import Sequence
from datetime import UTC, datetime

from machines.floor.facts import (
    CLOCK_SKEW,
    STALE_AFTER,
    FloorView,
    ShopHour,
    ShopState,
    ShopStatus,
    Tile,
    TileFacts,
    TileState,
)
from machines.floor.rules.presence import shop_state
from shopsafe.language.messages import _, marked

HEADLINES = {
    TileState.FREE: marked("Free. Ask first."),
    TileState.KEEP_OFF: marked("Keep off"),
    TileState.CHECKING: marked("Not running"),
    TileState.IN_USE: marked("In use"),
    TileState.TAGGED_OUT: marked("Tagged out"),
}
NO_NEWS = marked("No news from the server.")
SHOP_DETAILS = {
    ShopStatus.CLOSED: marked("The shop is closed."),
    ShopStatus.PRESENCE_OVER: marked("No teacher here."),
    ShopStatus.CLOCK_CHANGED: marked("No teacher here."),
    ShopStatus.RUNS_ENDED: marked("The teacher ended all runs."),
}


def floor_view(machines: Sequence[TileFacts], hour: ShopHour | None, heard_at: datetime, at: datetime) -> FloorView:
    """The page as it is to be shown at `at`, from facts heard at `heard_at`."""
    shop, stale = shop_state(hour, at), is_stale(heard_at, at)
    tiles = tuple(tile(facts, shop, stale=stale) for facts in machines)
    counts = {state: sum(other.state is state for other in tiles) for state in TileState}
    return FloorView(tiles, counts, shop, stale, heard_at)


def is_stale(heard_at: datetime, at: datetime) -> bool:
    """Return True if the last update is 60 seconds old, or from a moment that has not come yet (a clock set back)."""
    age = at.astimezone(UTC) - heard_at.astimezone(UTC)
    return not -CLOCK_SKEW <= age < STALE_AFTER


def tile(facts: TileFacts, shop: ShopState, *, stale: bool = False) -> Tile:
    machine, run = facts.machine, facts.run
    if machine.tagged_out:
        return _tile(facts, TileState.TAGGED_OUT, machine.tagged_out, facts.out_since)
    if stale:
        return _tile(facts, TileState.KEEP_OFF, _(NO_NEWS))
    if not shop.is_open:
        closed = _(SHOP_DETAILS[shop.status])
        return _tile(facts, TileState.KEEP_OFF, f"{closed} {machine.kept_off}".strip())
    if machine.kept_off:
        return _tile(facts, TileState.KEEP_OFF, machine.kept_off, facts.off_since)
    if run is None:
        return _tile(facts, TileState.FREE)
    if run.checked_at is None:
        return _tile(facts, TileState.CHECKING, _("{user} is checking it first.", user=machine.user), run.given_at)
    return _tile(facts, TileState.IN_USE, machine.user, run.checked_at)


def _tile(facts: TileFacts, state: TileState, detail: str = "", since: datetime | None = None) -> Tile:
    shows_run = state in (TileState.IN_USE, TileState.CHECKING)
    return Tile(
        machine=facts.machine.key,
        state=state,
        headline=_(HEADLINES[state]),
        detail=detail,
        since=since,
        user=facts.machine.user if facts.run else "",
        still_running=facts.run is not None and not shows_run,
    )
