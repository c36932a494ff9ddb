"""When a job of the night is due, and what the office reads of one that went wrong."""

from datetime import UTC, datetime, timedelta

import pytest

from shopsafe.school.jobs.rules import JobState, is_due, last_night, problem

ZONE = "America/Chicago"
NOON = datetime(2026, 12, 1, 18, 0, tzinfo=UTC)
NIGHT = datetime(2026, 12, 1, 8, 0, tzinfo=UTC)  # 2:00 in Chicago
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)


@pytest.mark.parametrize(
    ("state", "at", "due"),
    [
        (JobState(), NOON, True),
        (JobState(began_at=NIGHT + MINUTE), NOON, False),
        (JobState(began_at=NIGHT - MINUTE), NOON, True),
        (JobState(began_at=NIGHT), NIGHT + DAY - MINUTE, False),
        (JobState(began_at=NIGHT), NIGHT + DAY, True),
        (JobState(began_at=NOON, failed=True), NOON + HOUR - MINUTE, False),
        (JobState(began_at=NOON, failed=True), NOON + HOUR, True),
        (JobState(began_at=NIGHT - HOUR, beat_at=NOON - MINUTE, running=True), NOON, False),
        (JobState(began_at=NIGHT - HOUR, beat_at=NOON - 6 * MINUTE, running=True), NOON, True),
        (JobState(began_at=NOON - 10 * MINUTE, beat_at=NOON - 6 * MINUTE, running=True), NOON, False),
    ],
)
def test_job_is_due_once_a_night_and_an_hour_after_a_failure(state: JobState, at: datetime, due: bool) -> None:
    assert is_due(state, at, ZONE) is due


def test_night_follows_the_clock_of_the_school_across_clock_changes() -> None:
    assert last_night(NIGHT - MINUTE, ZONE) == NIGHT - DAY
    spring = datetime(2027, 3, 14, 18, 0, tzinfo=UTC)  # clocks went from 2:00 to 3:00
    assert last_night(spring, ZONE).astimezone(UTC) == datetime(2027, 3, 14, 8, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("state", "sentence"),
    [
        (JobState(), ""),
        (JobState(began_at=NIGHT, succeeded_at=NIGHT), ""),
        (JobState(began_at=NOON, beat_at=NOON, running=True), ""),
        (JobState(began_at=NOON, beat_at=NOON - 6 * MINUTE, running=True), "The last run stopped before its end."),
        (JobState(began_at=NIGHT, failed=True, result="The disk is full."), "The disk is full."),
        (JobState(began_at=NOON - 3 * DAY, succeeded_at=NOON - 3 * DAY), "It has not run for two days."),
    ],
)
def test_failed_job_is_reported(state: JobState, sentence: str) -> None:
    assert problem(state, NOON) == sentence
