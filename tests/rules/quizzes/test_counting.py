"""Which passes count after later editions."""

from datetime import UTC, datetime, timedelta

from quizzes.counting import Publication, counts_until
from quizzes.facts import Pass

DAY = timedelta(days=1)
START = datetime(2026, 9, 1, tzinfo=UTC)


def out(number: int, **more: object) -> Publication:
    return Publication(number=number, at=START + number * DAY, **more)  # type: ignore[arg-type]


def test_a_pass_counts_for_good_while_editions_let_it() -> None:
    assert counts_until(1, [out(1), out(2), out(3)]) is None


def test_an_edition_may_end_earlier_passes_at_once_or_on_a_day() -> None:
    later = START + 30 * DAY
    assert counts_until(1, [out(1), out(2, earlier_count=False)]) == START + 2 * DAY
    assert counts_until(1, [out(1), out(2, earlier_until=later)]) == later
    assert counts_until(1, [out(1), out(2, earlier_until=later), out(3, earlier_count=False)]) == START + 3 * DAY


def test_what_an_edition_says_does_not_touch_its_own_passes() -> None:
    assert counts_until(2, [out(1), out(2, earlier_count=False)]) is None


def test_a_pass_counts_until_its_last_moment() -> None:
    one = Pass(student=1, bank=1, edition=1, at=START, counts_until=START + DAY, entry=1)
    assert one.counts(START)
    assert one.counts(START + DAY - timedelta(microseconds=1))
    assert not one.counts(START + DAY)
    assert not one.counts(START - timedelta(seconds=1))


def test_a_pass_counts_while_a_teacher_accepts_its_edition() -> None:
    gone = START + 9 * DAY
    assert counts_until(1, [out(1, accepted=False, taken_back_at=gone), out(2)]) == gone
    assert counts_until(2, [out(1, accepted=False, taken_back_at=gone), out(2)]) is None
    assert counts_until(1, [out(1, accepted=False)]) == START + DAY, "never accepted: not even when it came out"
