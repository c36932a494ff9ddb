"""What lifts a hold, and what is still to do, a second before and after."""

from datetime import UTC, datetime, timedelta

import pytest

from machines.clearance.rules.lifting import HoldEnding, passed_since

AT = datetime(2026, 10, 12, 17, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)
RULES = HoldEnding("rules", 3, "Band saw", ("a", "b"), (("a", AT - SECOND), ("b", AT)))


def test_rules_are_done_at_the_second_the_last_one_is_learned():
    assert not RULES.done(AT - SECOND)
    assert RULES.left(AT - SECOND) == ("b",)
    assert RULES.not_done(AT - SECOND) == "1 rule card of Band saw not read and recalled yet."
    assert RULES.done(AT)
    assert RULES.not_done(AT) == ""


def test_none_learned_counts_them_all():
    assert (
        HoldEnding("rules", 3, "Band saw", ("a", "b")).not_done(AT)
        == "2 rule cards of Band saw not read and recalled yet."
    )


def test_a_quiz_is_done_when_it_is_passed():
    way = HoldEnding("quiz", 3, "Band saw", passed=AT)
    assert (way.done(AT - SECOND), way.done(AT)) == (False, True)
    assert way.not_done(AT - SECOND) == "The Band saw quiz is not passed again yet."
    assert not HoldEnding("quiz", 3, "Band saw").done(AT)


@pytest.mark.parametrize("lifts", ["date", "talk", "office"])
def test_ending_by_staff_is_never_done_by_the_student(lifts: str):
    way = HoldEnding(lifts)
    assert (way.done(AT), way.not_done(AT)) == (False, "")


def test_a_hold_that_names_no_rules_is_not_done_by_itself():
    assert not HoldEnding("rules").done(AT)


def test_only_a_whole_quiz_after_the_hold_counts():
    passes = [
        (AT - SECOND, False),
        (AT, False),
        (AT + SECOND, True),
        (AT + 9 * SECOND, False),
        (AT + 8 * SECOND, False),
    ]
    assert passed_since(AT, passes) == AT + 8 * SECOND
    assert passed_since(AT, passes[:3]) is None
