"""How long a record is kept, to the day."""

from datetime import date, timedelta

import pytest

from shopsafe.school.retention.rules import Record, Rule, is_due, keep_to, stays

LEFT = date(2027, 1, 15)
DAY = timedelta(days=1)
THREE = Rule(3, 7)
UNSET = Rule(None, None)


@pytest.mark.parametrize(
    ("record", "rule", "last"),
    [
        (Record(LEFT), THREE, date(2030, 1, 15)),
        (Record(date(2024, 2, 29)), THREE, date(2027, 2, 28)),
        (Record(date(2024, 2, 29)), Rule(4, 7), date(2028, 2, 29)),
        (Record(LEFT), UNSET, None),
        (Record(LEFT), Rule(None, 7), None),
        (Record(None), THREE, None),
        # 29 CFR 1904.33(a): five years after the end of the calendar year that the records cover.
        (Record(date(2024, 2, 28), injured=date(2024, 2, 29)), Rule(1, 5), date(2029, 12, 31)),
        (Record(date(2040, 1, 1), injured=date(2024, 2, 29)), Rule(1, 5), date(2041, 1, 1)),
        (Record(LEFT, injured=LEFT), Rule(3, None), None),
    ],
)
def test_last_day_by_the_rule(record: Record, rule: Rule, last: date | None) -> None:
    assert keep_to(record, rule) == last
    if last:
        assert not is_due(record, rule, last)
        assert is_due(record, rule, last + DAY)


@pytest.mark.parametrize(
    ("record", "rule", "today", "code"),
    [
        (Record(LEFT), UNSET, LEFT, "enrolled"),
        (Record(LEFT), UNSET, LEFT + DAY, None),
        (Record(None), UNSET, LEFT, None),
        (Record(LEFT, kept="A claim"), THREE, date(2099, 1, 1), "kept"),
        (Record(LEFT, injured=LEFT), UNSET, date(2099, 1, 1), "injury"),
        (Record(LEFT, injured=LEFT), THREE, date(2034, 12, 31), "injury"),
        (Record(LEFT, injured=LEFT), THREE, date(2035, 1, 1), None),
        (Record(LEFT, injured=LEFT, kept="A claim"), THREE, date(2035, 1, 1), "kept"),
    ],
)
def test_what_keeps_a_record_whoever_asks(record: Record, rule: Rule, today: date, code: str | None) -> None:
    found = stays(record, rule, today)
    assert (found.code if found else None) == code
    if found:
        assert not is_due(record, rule, today)


def test_the_last_day_in_a_class_still_counts_and_says_so() -> None:
    last, before = stays(Record(LEFT), UNSET, LEFT), stays(Record(LEFT), UNSET, LEFT - DAY)
    assert last
    assert last.sentence == ("Today is the student's last day in a class. The record can't be erased before tomorrow.")
    assert before
    assert before.sentence == "The student is still in a class. End that first."


def test_says_until_when() -> None:
    found = stays(Record(LEFT, injured=LEFT), THREE, LEFT + DAY)
    assert found
    assert found.until == date(2034, 12, 31)
    assert found.sentence == "There was an injury. The record is kept until 31 December 2034."


def test_nobody_is_due_before_the_school_has_set_its_years() -> None:
    assert not is_due(Record(date(1990, 1, 1)), UNSET, date(2099, 1, 1))
