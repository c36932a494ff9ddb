"""The shop is open only while a teacher's presence is fresh: across daylight saving, midnight and changed clocks."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.floor.facts import CLOCK_SKEW, Presence, ShopHour, ShopStatus, SupervisingGrant
from machines.floor.rules.presence import (
    is_closing_overdue,
    presence_ends,
    presence_left,
    shop_state,
    substitute_may_open,
)

AT = datetime(2026, 11, 9, 16, 42, tzinfo=UTC)
CHICAGO = ZoneInfo("America/Chicago")
QUARTER = timedelta(minutes=15)
TICK = timedelta(microseconds=1)


def hour(confirmed_at: datetime = AT, **changes) -> ShopHour:
    interval, latest_since = changes.pop("interval", QUARTER), changes.pop("latest_since", None)
    presence = Presence(confirmed_at, "Odile Ferrant", interval, latest_since)
    return ShopHour(9, confirmed_at - timedelta(minutes=5), "Odile Ferrant", presence, **changes)


@pytest.mark.parametrize(
    ("after", "status"),
    [
        (timedelta(0), ShopStatus.OPEN),
        (QUARTER - TICK, ShopStatus.OPEN),
        (QUARTER, ShopStatus.PRESENCE_OVER),
        (timedelta(hours=20), ShopStatus.PRESENCE_OVER),
        (-CLOCK_SKEW, ShopStatus.OPEN),  # two processes that read the clock a little apart
        (-CLOCK_SKEW - TICK, ShopStatus.CLOCK_CHANGED),
        (timedelta(minutes=-50), ShopStatus.CLOCK_CHANGED),
    ],
)
def test_shop_is_open_from_confirmation_until_the_interval_is_over(after, status):
    state = shop_state(hour(), AT + after)
    assert state.status is status
    assert state.until == (AT + QUARTER if status is ShopStatus.OPEN else None)
    assert state.sentence


def test_shop_is_closed_when_never_opened_or_closed():
    assert shop_state(None, AT).status is ShopStatus.CLOSED
    assert shop_state(hour(closed_at=AT), AT).status is ShopStatus.CLOSED


def test_shop_is_not_open_while_all_runs_are_ended():
    assert shop_state(hour(runs_ended_at=AT), AT).status is ShopStatus.RUNS_ENDED
    assert not shop_state(hour(runs_ended_at=AT), AT).is_open


def test_presence_interval_is_the_shops_own():
    assert shop_state(hour(interval=timedelta(minutes=5)), AT + timedelta(minutes=5)).status is ShopStatus.PRESENCE_OVER


def test_clock_set_back_within_the_interval_is_seen_by_a_later_record():
    # Confirmed at 16:42, a start recorded at 16:55, then the clock is set back to 16:44.
    later = hour(latest_since=AT + timedelta(minutes=13))
    assert shop_state(later, AT + timedelta(minutes=2)).status is ShopStatus.CLOCK_CHANGED
    assert presence_left(later.presence, AT + timedelta(minutes=2)) == timedelta(0)


def test_confirmation_after_the_clock_was_set_back_opens_the_shop():
    again = hour(AT - timedelta(minutes=50), latest_since=None)
    assert shop_state(again, AT - timedelta(minutes=49)).is_open


@pytest.mark.parametrize(
    "local",
    [
        datetime(2026, 3, 8, 1, 55, tzinfo=CHICAGO),  # the clock skips from 2:00 to 3:00
        datetime(2026, 11, 1, 1, 55, tzinfo=CHICAGO),  # the clock goes from 2:00 back to 1:00
        datetime(2026, 11, 9, 23, 55, tzinfo=CHICAGO),  # midnight
    ],
)
def test_interval_has_its_length_in_real_minutes(local):
    shop = hour(local)
    for real in (timedelta(0), timedelta(minutes=14, seconds=59), timedelta(minutes=15)):
        at = (local.astimezone(UTC) + real).astimezone(CHICAGO)
        assert shop_state(shop, at).is_open is (real < QUARTER)
        assert presence_left(shop.presence, at) == QUARTER - real


def test_clock_that_repeats_an_hour_does_not_add_an_hour():
    confirmed = datetime(2026, 11, 1, 1, 55, tzinfo=CHICAGO)
    repeated = datetime(2026, 11, 1, 1, 56, fold=1, tzinfo=CHICAGO)  # an hour and a minute later
    assert shop_state(hour(confirmed), repeated).status is ShopStatus.PRESENCE_OVER


moments = st.integers(-10_000, 10_000).map(lambda seconds: AT + timedelta(seconds=seconds))


@given(moments, moments, st.none() | moments, st.integers(1, 60))
def test_open_shop_always_has_a_confirmation_within_the_interval(confirmed, at, latest, minutes):
    interval = timedelta(minutes=minutes)
    shop = hour(confirmed, interval=interval, latest_since=latest)
    state = shop_state(shop, at)
    if state.is_open:
        assert -CLOCK_SKEW <= at - confirmed < interval
        assert latest is None or latest <= at + CLOCK_SKEW
        assert timedelta(0) < presence_left(shop.presence, at) <= interval
        assert state.until == presence_ends(shop.presence)
    assert not shop_state(replace(shop, closed_at=confirmed), at).is_open
    assert not shop_state(replace(shop, runs_ended_at=confirmed), at).is_open


BELL = AT + timedelta(minutes=13)


@pytest.mark.parametrize(
    ("shop", "bell", "at", "overdue"),
    [
        (hour(), BELL, BELL + timedelta(minutes=10), True),
        (hour(), BELL, BELL + timedelta(minutes=10) - TICK, False),
        (hour(closed_at=BELL), BELL, BELL + timedelta(hours=1), False),
        (hour(), None, BELL + timedelta(hours=1), False),  # no timetable, no bell
        (None, BELL, BELL + timedelta(hours=1), False),
    ],
)
def test_closing_is_overdue_ten_minutes_after_the_bell(shop, bell, at, overdue):
    assert is_closing_overdue(shop, bell, at) is overdue


def test_closing_at_midnight_is_overdue_ten_minutes_into_the_next_day():
    bell = datetime(2026, 11, 10, 0, 0, tzinfo=CHICAGO)
    assert not is_closing_overdue(hour(), bell, datetime(2026, 11, 10, 0, 9, tzinfo=CHICAGO))
    assert is_closing_overdue(hour(), bell, datetime(2026, 11, 10, 0, 10, tzinfo=CHICAGO))


GRANT = SupervisingGrant(9, frozenset({date(2026, 11, 9)}), "Odile Ferrant")


@pytest.mark.parametrize(
    ("grants", "section", "day", "allowed"),
    [
        ([GRANT], 9, date(2026, 11, 9), True),
        ([GRANT], 8, date(2026, 11, 9), False),
        ([GRANT], 9, date(2026, 11, 10), False),
        ([], 9, date(2026, 11, 9), False),
        ([replace(GRANT, withdrawn_at=AT)], 9, date(2026, 11, 9), False),
        ([replace(GRANT, withdrawn_at=AT + TICK)], 9, date(2026, 11, 9), True),
    ],
)
def test_substitute_opens_only_by_a_grant_for_that_class_and_day(grants, section, day, allowed):
    assert substitute_may_open(grants, section, day, AT) is allowed
