"""School days, in zones where days are not always of 24 hours."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.school.calendar import end_of_day, local_day, school_year, school_year_name, start_of_day

ZONES = ["America/Chicago", "Europe/Berlin", "Pacific/Chatham", "Asia/Kolkata", "UTC"]


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.sampled_from(ZONES))
def test_a_day_holds_its_first_and_last_second_and_nothing_else(day: date, zone: str) -> None:
    first, over = start_of_day(day, zone), end_of_day(day, zone)
    second = timedelta(seconds=1)
    assert local_day(first, zone) == local_day(over - second, zone) == day
    assert local_day(first - second, zone) == day - timedelta(days=1)
    assert local_day(over, zone) == day + timedelta(days=1)


# The rule of the United States: second Sunday of March, first Sunday of November (15 U.S.C. 260a).
@pytest.mark.parametrize(("day", "hours"), [(date(2026, 3, 8), 23), (date(2026, 11, 1), 25), (date(2026, 11, 2), 24)])
def test_days_of_clock_changes_are_as_long_as_they_are(day: date, hours: int) -> None:
    assert end_of_day(day, "America/Chicago") - start_of_day(day, "America/Chicago") == timedelta(hours=hours)


def test_29_february_is_a_day_like_any_other() -> None:
    assert end_of_day(date(2028, 2, 29), "UTC") == datetime(2028, 3, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("day", "first_month", "year"),
    [
        (date(2026, 7, 31), 8, 2025),
        (date(2026, 8, 1), 8, 2026),
        (date(2026, 1, 1), 1, 2026),
        (date(2026, 12, 31), 1, 2026),
    ],
)
def test_a_school_year_begins_in_its_month(day: date, first_month: int, year: int) -> None:
    assert school_year(day, first_month) == year


def test_a_school_year_is_written_with_both_its_years() -> None:
    assert [school_year_name(2026, 8), school_year_name(2099, 8), school_year_name(2026, 1)] == [
        "2026–27",
        "2099–00",
        "2026",
    ]
