"""How days and times are written, in either of two conventions. CLDR 46: en-US "MMMM d, y" and "h:mm a", en-GB
"d MMMM y" and "HH:mm"; the space before AM is a plain one."""

from datetime import UTC, date, datetime, time
from threading import Thread

import pytest

from shopsafe.conventions import (
    Conventions,
    conventions_in_use,
    usual_paper,
    written_day,
    written_distance,
    written_moment,
    written_short_day,
    written_time,
)

AT = datetime(2026, 11, 27, 23, 38, 4, tzinfo=UTC)  # 5:38 in the evening in Chicago


def test_united_states_writes_the_month_first_and_twelve_hours() -> None:
    assert written_moment(AT, "America/Chicago") == "November 27, 2026, 5:38 PM"
    assert written_day(date(2026, 11, 7)) == "November 7, 2026"
    assert written_short_day(date(2026, 11, 7)) == "Nov 7"


def test_international_writes_the_day_first_and_twenty_four_hours() -> None:
    with conventions_in_use(Conventions.INTERNATIONAL):
        assert written_moment(AT, "America/Chicago") == "27 November 2026, 17:38"
        assert written_moment(AT, "America/Chicago", seconds=True) == "27 November 2026, 17:38:04"
        assert written_short_day(date(2026, 11, 7)) == "7 Nov"


@pytest.mark.parametrize(
    ("of_day", "written"),
    [(time(0, 0), "12:00 AM"), (time(0, 5), "12:05 AM"), (time(11, 59), "11:59 AM"), (time(12, 0), "12:00 PM"),
     (time(13, 1), "1:01 PM"), (time(23, 59), "11:59 PM")],
)  # fmt: skip
def test_noon_is_pm_and_midnight_am(of_day: time, written: str) -> None:
    assert written_time(of_day) == written


@pytest.mark.parametrize(
    ("metres", "feet"), [(2, "6.5 ft"), (3, "10 ft"), (4, "13 ft"), (6, "19.5 ft"), (3.7, "12 ft")]
)
def test_distance_is_in_feet_or_in_meters(metres: float, feet: str) -> None:
    """NIST Special Publication 811, appendix B: a foot is 0.3048 m. To the nearest half foot."""
    assert written_distance(metres) == feet
    with conventions_in_use(Conventions.INTERNATIONAL):
        assert written_distance(metres) == f"{metres:g} m"
    assert usual_paper() == "letter"


def test_no_day_is_written_as_nothing() -> None:
    assert written_day(None) == ""


def test_school_is_asked_only_when_a_date_is_written() -> None:
    def never() -> str:
        raise AssertionError("asked without need")

    with conventions_in_use(never):
        assert written_day(None) == ""


def test_another_thread_and_what_comes_after_keep_their_own() -> None:
    beside = list[str]()
    with conventions_in_use("international"):
        thread = Thread(target=lambda: beside.append(written_day(date(2026, 1, 2))))
        thread.start()
        thread.join()
    assert [*beside, written_day(date(2026, 1, 2))] == ["January 2, 2026"] * 2
