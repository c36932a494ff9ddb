"""What a page writes of a wait is kept: a student who comes at that minute may enter."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from shopsafe.conventions import Conventions, conventions_in_use
from shopsafe.school.templatetags.drawing import clock_after

ZONE = "America/Chicago"


@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)))
def test_never_before_the_end_and_less_than_a_minute_after_it(end: datetime) -> None:
    with conventions_in_use(Conventions.INTERNATIONAL):
        hours, minutes = map(int, clock_after(end, ZONE).split(":"))
    local = end.astimezone(ZoneInfo(ZONE))
    after = (hours * 60 + minutes) - (local.hour * 60 + local.minute)
    late = timedelta(minutes=after % (24 * 60)) - timedelta(seconds=local.second, microseconds=local.microsecond)
    assert timedelta(0) <= late < timedelta(minutes=1)


def test_nothing_of_nothing() -> None:
    assert clock_after(None, ZONE) == ""
