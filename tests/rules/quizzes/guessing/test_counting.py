"""Which passes count after later editions."""

from datetime import UTC, datetime, timedelta

from quizzes.banks.rules.counting import Publication, UnapprovedLatest, counts_until, unapproved_latest
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


def test_edition_does_not_end_its_own_passes() -> None:
    assert counts_until(2, [out(1), out(2, earlier_count=False)]) is None


def test_a_pass_counts_until_its_last_moment() -> None:
    quiz_pass = Pass(student=1, bank=1, edition=1, at=START, counts_until=START + DAY, entry=1)
    assert quiz_pass.counts(START)
    assert quiz_pass.counts(START + DAY - timedelta(microseconds=1))
    assert not quiz_pass.counts(START + DAY)
    assert not quiz_pass.counts(START - timedelta(seconds=1))


def test_a_pass_counts_while_a_teacher_accepts_its_edition() -> None:
    withdrawn_at = START + 9 * DAY
    assert counts_until(1, [out(1, accepted=False, taken_back_at=withdrawn_at), out(2)]) == withdrawn_at
    assert counts_until(2, [out(1, accepted=False, taken_back_at=withdrawn_at), out(2)]) is None
    assert counts_until(1, [out(1, accepted=False)]) == START + DAY, "never accepted: not even when it came out"


def test_a_bank_is_in_doubt_while_its_latest_edition_is_not_accepted() -> None:
    new, now = out(3, accepted=False), START + 9 * DAY
    assert unapproved_latest([], now) is None
    assert unapproved_latest([out(1), out(2, accepted=False), out(3)], now) is None
    assert unapproved_latest([out(1, accepted=False)], now) == UnapprovedLatest(1, ())
    assert unapproved_latest([out(1), out(2), new], now) == UnapprovedLatest(3, (1, 2))
    assert unapproved_latest([out(1), out(2, earlier_count=False), new], now) == UnapprovedLatest(3, (2,))
    assert unapproved_latest([out(1), out(2, accepted=False), new], now) == UnapprovedLatest(3, (1,))
    assert unapproved_latest([out(1), out(3, accepted=False, earlier_count=False)], now) == UnapprovedLatest(3, ())


def test_earlier_editions_count_until_the_day_the_latest_gives() -> None:
    last = START + 9 * DAY
    publications = [out(1), out(2, accepted=False, earlier_until=last)]
    assert unapproved_latest(publications, last - timedelta(seconds=1)) == UnapprovedLatest(2, (1,))
    assert unapproved_latest(publications, last) == UnapprovedLatest(2, ())
