"""Runs and the closing list where the clock or the calendar jumps: midnight, daylight saving, a clock set back."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from machines.floor.acts.shops import confirm_presence
from machines.floor.hours import exposure_hours, machine_times
from machines.models import Run
from tests.acts.floor.test_closing import closed
from tests.acts.floor.test_open_shop import asks
from tests.factories.machines import NOON, Floor
from tests.factories.shop_in_use import MINUTE, floor_faults, given, opened, started, stopped

# Chicago: clocks go back at 2:00 AM on November 1, 2026, when 1:00 to 2:00 comes twice.
BACK = datetime(2026, 11, 1, 6, 50, tzinfo=UTC)  # 1:50 AM, the first time
MIDNIGHT = datetime(2026, 10, 13, 5, 0, tzinfo=UTC)


def test_closing_at_the_hour_that_comes_twice_counts_the_time_that_passed(floor: Floor) -> None:
    """Opened at 1:50 AM and closed at 1:05 AM by the wall clock, which is 15 minutes later."""
    student = floor.cast.student
    floor.make_cleared(student)
    opened(floor, at=BACK)
    run = started(given(floor, student, at=BACK), at=BACK + MINUTE)
    stopped(run, at=BACK + 13 * MINUTE)
    opening = closed(floor, at=BACK + 15 * MINUTE)
    assert opening.closed_at - opening.opened_at == 15 * MINUTE
    [times] = machine_times(floor.cast.shop, BACK + 15 * MINUTE)
    assert (times.minutes, times.last) == (12, BACK + 13 * MINUTE)
    assert floor_faults() == ()


def test_closing_on_the_stroke_of_midnight_belongs_to_the_period_that_was_opened(floor: Floor) -> None:
    student = floor.cast.student
    floor.make_cleared(student)
    opening = opened(floor, at=MIDNIGHT - 10 * MINUTE)
    run = started(given(floor, student, at=MIDNIGHT - 9 * MINUTE), at=MIDNIGHT - 8 * MINUTE)
    stopped(run, at=MIDNIGHT)
    closing = closed(floor, at=MIDNIGHT)
    assert (closing.pk, closing.closed_at) == (opening.pk, MIDNIGHT)
    assert exposure_hours(floor.cast.shop, MIDNIGHT)[floor.saw_2.pk] == pytest.approx(8 / 60)
    opened(floor, at=MIDNIGHT + MINUTE)
    assert floor_faults() == ()


def test_clock_set_back_during_a_run_gives_no_run_that_ends_before_it_starts(floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    with time_machine.travel(NOON, tick=False) as clock:
        opened(floor, at=None)
        run = started(given(floor, cast.student, at=None), at=None)
        clock.move_to(NOON - timedelta(hours=2))
        stopped(run, at=None)
        ended = Run.objects.get()
        assert ended.ended_at is not None
        assert ended.started_at is not None
        assert timedelta(0) < ended.ended_at - ended.started_at < MINUTE
        confirm_presence(**asks(cast, cast.teacher, None))
        opening = closed(floor, at=None)
        assert opening.closed_at > ended.ended_at
        assert floor_faults() == ()
