"""What comes next, from what happened: tables of cases over the pure rule."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from quizzes.facts import Blueprint
from quizzes.relearning.rules.next_attempt import PastAttempt, Step, next_step

AT = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)
MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
RULES = Blueprint(ask=10, wait_minutes=5, misses_a_day=2)
ZONE = "America/Chicago"


def miss(number: int, at: datetime = AT, *, read: datetime | None = None, **more: object) -> PastAttempt:
    """`read`: when the card was recalled, and its check question answered."""
    done = (("r1", read),) if read else ()
    steps: dict[str, object] = {"missed_rules": ("r1",), "recalled": done, "checked": done}
    return PastAttempt(id=UUID(int=number), handed_in_at=at, perfect=False, **(steps | more))  # type: ignore[arg-type]


def passed(number: int, **more: object) -> PastAttempt:
    return PastAttempt(id=UUID(int=number), handed_in_at=AT, perfect=True, **more)  # type: ignore[arg-type]


def code(*went: PastAttempt, at: datetime = AT + 30 * MINUTE, blueprint: Blueprint = RULES) -> str:
    return next_step(went, blueprint, at, ZONE).code


def test_nothing_done_is_not_started() -> None:
    assert next_step((), RULES, AT, ZONE) == Step(code="not started")


def test_an_open_attempt_comes_before_everything() -> None:
    going = PastAttempt(id=UUID(int=9), handed_in_at=None, perfect=False)
    assert next_step((passed(1), miss(2), going), RULES, AT, ZONE) == Step(code="open", attempt=UUID(int=9))


def test_cards_then_check_then_wait_then_again() -> None:
    assert code(miss(1)) == "relearn"
    unchecked = miss(1, read=AT + 10 * MINUTE, checked=())
    assert next_step((unchecked,), RULES, AT + DAY, ZONE) == Step(code="check questions", attempt=UUID(int=1), checks=1)
    read = miss(1, read=AT + 10 * MINUTE)
    step = next_step((read,), RULES, AT + 12 * MINUTE, ZONE)
    assert (step.code, step.until, step.may_start()) == ("wait", AT + 15 * MINUTE, False)
    assert next_step((read,), RULES, AT + 15 * MINUTE, ZONE) == Step(code="try again", attempt=UUID(int=1))


def test_the_check_comes_before_the_teacher() -> None:
    step = next_step((miss(1, read=AT), miss(2, read=AT, checked=())), RULES, AT + DAY, ZONE)
    assert (step.code, step.teacher, step.may_start()) == ("check questions", True, False)


def test_the_wait_runs_from_the_last_check_question() -> None:
    two = PastAttempt(
        id=UUID(int=1),
        handed_in_at=AT,
        perfect=False,
        missed_rules=("r1", "r2"),
        recalled=(("r2", AT + MINUTE), ("r1", AT + 2 * MINUTE)),
        checked=(("r2", AT + 20 * MINUTE), ("r1", AT + 3 * MINUTE)),
    )
    assert next_step((two,), RULES, AT + 21 * MINUTE, ZONE).until == AT + 25 * MINUTE


def test_wait_of_zero_minutes_allows_another_try() -> None:
    now = Blueprint(ask=10, wait_minutes=0)
    assert code(miss(1, read=AT), at=AT, blueprint=now) == "try again"


@pytest.mark.parametrize(
    ("limit", "misses", "waits"), [(1, 1, True), (2, 1, False), (2, 2, True), (3, 2, False), (3, 3, True)]
)
def test_so_many_misses_a_day_need_the_teacher(limit: int, misses: int, waits: bool) -> None:
    attempts = [miss(n, AT + n * MINUTE, read=AT + n * MINUTE) for n in range(misses)]
    step_code = code(*attempts, at=AT + 60 * MINUTE, blueprint=Blueprint(ask=1, misses_a_day=limit))
    assert step_code == ("talk to your teacher" if waits else "try again")


def test_the_cards_can_be_read_while_the_teacher_is_waited_for() -> None:
    step = next_step((miss(1, read=AT), miss(2)), RULES, AT + DAY, ZONE)
    assert (step.code, step.teacher, step.cards) == ("relearn", True, 1)


def test_misses_on_two_school_days_are_not_two_on_one() -> None:
    late = datetime(2026, 9, 15, 4, 30, tzinfo=UTC)  # 23:30 on the 14th in Chicago
    assert (
        code(miss(1, late, read=late), miss(2, late + 60 * MINUTE, read=late + 60 * MINUTE), at=late + DAY)
        == "try again"
    )
    assert code(miss(1, late, read=late), miss(2, late + MINUTE, read=late), at=late + DAY) == "talk to your teacher"


def test_a_release_skips_the_wait_and_starts_the_count_again() -> None:
    freed = miss(2, AT + MINUTE, read=AT + 2 * MINUTE, released_at=AT + 3 * MINUTE)
    assert code(miss(1, read=AT), freed, at=AT + 3 * MINUTE) == "try again"
    third = miss(3, AT + 4 * MINUTE, read=AT + 4 * MINUTE)
    assert code(miss(1, read=AT), freed, third, at=AT + 20 * MINUTE) == "try again"
    fourth = miss(4, AT + 5 * MINUTE, read=AT + 5 * MINUTE)
    assert code(miss(1, read=AT), freed, third, fourth, at=AT + 20 * MINUTE) == "talk to your teacher"


def test_a_pass_ends_the_count_of_misses() -> None:
    assert code(miss(1, read=AT), passed(2, counts_until=AT), miss(3, AT + MINUTE, read=AT)) == "try again"


def test_a_pass_stands_until_it_stops_counting() -> None:
    assert next_step((passed(1),), RULES, AT + DAY, ZONE) == Step(code="passed", attempt=UUID(int=1))
    ending = passed(1, counts_until=AT + DAY)
    step = next_step((ending,), RULES, AT, ZONE)
    assert (step.code, step.until, step.may_start()) == ("passed", AT + DAY, True)
    assert next_step((ending,), RULES, AT + DAY, ZONE).code == "not started"


def test_pass_that_counts_longest_is_returned() -> None:
    went = (passed(1, counts_until=AT + 2 * DAY), passed(2), passed(3, counts_until=AT + DAY))
    assert next_step(went, RULES, AT, ZONE) == Step(code="passed", attempt=UUID(int=2))


def test_refresher_does_not_count_as_a_pass() -> None:
    assert code(passed(1, counts_until=AT), passed(2, refresher=True)) == "not started"
    assert next_step((passed(1), passed(2, refresher=True)), RULES, AT, ZONE).attempt == UUID(int=1)


def test_a_missed_refresher_is_learned_again() -> None:
    step = next_step((passed(1), miss(2, refresher=True)), RULES, AT, ZONE)
    assert (step.code, step.refresher) == ("relearn", True)
    lapsed = next_step((passed(1, counts_until=AT), miss(2, refresher=True)), RULES, AT, ZONE)
    assert (lapsed.code, lapsed.refresher) == ("relearn", False)


def test_quiz_starts_before_a_pass_and_refresher_after_it() -> None:
    assert Step(code="not started").may_start()
    assert Step(code="passed").may_start(refresher=True)
    assert not Step(code="passed").may_start()
    assert not any(
        Step(code=code).may_start(refresher=True) for code in ("relearn", "wait", "talk to your teacher", "open")
    )


def test_practice_is_learned_again_but_never_waits_for_the_teacher() -> None:
    went = [miss(number, AT + number * MINUTE, read=AT + number * MINUTE, practice=True) for number in (1, 2, 3)]
    assert next_step(went[:2], RULES, AT + DAY, ZONE, practice=True) == Step(
        code="try again", attempt=UUID(int=2), practice=True
    )
    unread = miss(4, AT + 4 * MINUTE, practice=True)
    step = next_step([*went, unread], RULES, AT + DAY, ZONE, practice=True)
    assert (step.code, step.cards, step.teacher) == ("relearn", 1, False)


def test_perfect_practice_does_not_count_and_can_be_repeated() -> None:
    step = next_step([passed(1, practice=True)], RULES, AT, ZONE, practice=True)
    assert (step.code, step.practice, step.may_start()) == ("not started", True, True)


def test_practice_is_ignored_when_the_quiz_counts() -> None:
    went = [passed(1, practice=True), miss(2, practice=True), miss(3, practice=True)]
    assert next_step(went, RULES, AT, ZONE) == Step(code="not started")
    assert next_step([miss(1, read=AT), *went], RULES, AT + DAY, ZONE).attempt == UUID(int=1)


def test_open_practice_stays_practice() -> None:
    going = PastAttempt(id=UUID(int=9), handed_in_at=None, perfect=False, practice=True)
    assert next_step([going], RULES, AT, ZONE) == Step(code="open", attempt=UUID(int=9), practice=True)


def test_pass_on_an_approved_edition_counts_during_practice() -> None:
    assert next_step([passed(1)], RULES, AT, ZONE, practice=True).code == "passed"
