"""How long a record is kept, to the day."""

from datetime import date, timedelta

import pytest

from shopsafe.school.retention.rules import RecordDates, RetentionRule, erase_blocker, is_due, keep_until

LEFT = date(2027, 1, 15)
DAY = timedelta(days=1)
THREE = RetentionRule(3, 7)
UNSET = RetentionRule(None, None)


@pytest.mark.parametrize(
    ("record", "rule", "last"),
    [
        (RecordDates(LEFT), THREE, date(2030, 1, 15)),
        (RecordDates(date(2024, 2, 29)), THREE, date(2027, 2, 28)),
        (RecordDates(date(2024, 2, 29)), RetentionRule(4, 7), date(2028, 2, 29)),
        (RecordDates(LEFT), UNSET, None),
        (RecordDates(LEFT), RetentionRule(None, 7), None),
        (RecordDates(None), THREE, None),
        # 29 CFR 1904.33(a): five years after the end of the calendar year that the records cover.
        (RecordDates(date(2024, 2, 28), injured=date(2024, 2, 29)), RetentionRule(1, 5), date(2029, 12, 31)),
        (RecordDates(date(2040, 1, 1), injured=date(2024, 2, 29)), RetentionRule(1, 5), date(2041, 1, 1)),
        (RecordDates(LEFT, injured=LEFT), RetentionRule(3, None), None),
    ],
)
def test_last_day_by_the_rule(record: RecordDates, rule: RetentionRule, last: date | None) -> None:
    assert keep_until(record, rule) == last
    if last:
        assert not is_due(record, rule, last)
        assert is_due(record, rule, last + DAY)


@pytest.mark.parametrize(
    ("record", "rule", "today", "code"),
    [
        (RecordDates(LEFT), UNSET, LEFT, "enrolled"),
        (RecordDates(LEFT), UNSET, LEFT + DAY, None),
        (RecordDates(None), UNSET, LEFT, None),
        (RecordDates(LEFT, kept="A claim"), THREE, date(2099, 1, 1), "kept"),
        (RecordDates(LEFT, injured=LEFT), UNSET, date(2099, 1, 1), "injury"),
        (RecordDates(LEFT, injured=LEFT), THREE, date(2034, 12, 31), "injury"),
        (RecordDates(LEFT, injured=LEFT), THREE, date(2035, 1, 1), None),
        (RecordDates(LEFT, injured=LEFT, kept="A claim"), THREE, date(2035, 1, 1), "kept"),
    ],
)
def test_erasure_is_blocked_by_the_reason_that_keeps_the_record(
    record: RecordDates, rule: RetentionRule, today: date, code: str | None
) -> None:
    blocker = erase_blocker(record, rule, today)
    assert (blocker.code if blocker else None) == code
    if blocker:
        assert not is_due(record, rule, today)


def test_the_last_day_in_a_class_still_counts_and_says_so() -> None:
    last, before = erase_blocker(RecordDates(LEFT), UNSET, LEFT), erase_blocker(RecordDates(LEFT), UNSET, LEFT - DAY)
    assert last
    assert last.sentence == ("Today is the student's last day in a class. The record can't be erased before tomorrow.")
    assert before
    assert before.sentence == "The student is still in a class. End that first."


def test_says_until_when() -> None:
    blocker = erase_blocker(RecordDates(LEFT, injured=LEFT), THREE, LEFT + DAY)
    assert blocker
    assert blocker.until == date(2034, 12, 31)
    assert blocker.sentence == (
        "There was an injury. The record is kept until December 31, 2034, and that comes before a request to erase it."
    )


def test_no_one_is_due_before_the_school_has_set_its_years() -> None:
    assert not is_due(RecordDates(date(1990, 1, 1)), UNSET, date(2099, 1, 1))
