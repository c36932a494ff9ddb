"""When a sign-in ends by itself."""

from datetime import UTC, datetime, timedelta

from shopsafe.school.signing_in.rules.idle import NOTED_EVERY, end_of_sign_in, is_to_be_noted

NOON = datetime(2026, 9, 14, 17, 0, tzinfo=UTC)
DAY, TEN = timedelta(hours=8), timedelta(minutes=10)


def test_sign_in_ends_after_the_idle_time_and_never_earlier() -> None:
    end = end_of_sign_in(began_at=NOON, seen_at=NOON, idle=TEN, longest=DAY)
    assert NOON + TEN <= end <= NOON + TEN + NOTED_EVERY


def test_sign_in_ends_after_the_longest_time_in_any_case() -> None:
    late = NOON + DAY - timedelta(minutes=1)
    assert end_of_sign_in(began_at=NOON, seen_at=late, idle=TEN, longest=DAY) == NOON + DAY


def test_use_is_noted_once_a_minute() -> None:
    assert not is_to_be_noted(seen_at=NOON, at=NOON + timedelta(seconds=59))
    assert is_to_be_noted(seen_at=NOON, at=NOON + timedelta(seconds=60))
