"""The waiting list of a machine."""

import uuid
from typing import Any

import pytest

from machines.floor.acts.waiting import join_waiting, leave_waiting
from machines.models import WaitingStudent
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor
from tests.factories.shop_in_use import MINUTE, floor_faults, given, keep_runs, opened

NOT_ALLOWED = {"access.not-yours", "floor.no-grant"}


@pytest.fixture
def ready(floor: Floor) -> Floor:
    for student in (floor.cast.student, floor.cast.classmate):
        floor.make_cleared(student)
    opened(floor)
    return floor


def joins(floor: Floor, **more: Any) -> WaitingStudent:
    student = more.get("student", floor.cast.student)
    asked = {"machine": floor.saw_2, "student": student, "by": student, "tap": uuid.uuid4(), "at": NOON + MINUTE}
    return join_waiting(**(asked | more))


def test_joins_once_and_leaves_once(ready: Floor) -> None:
    row = joins(ready)
    assert joins(ready) == row
    assert (last_entry()[0], "by" in last_entry()[1]) == ("waiting.joined", False)
    left = leave_waiting(waiting=row, by=ready.cast.student, tap=uuid.uuid4(), at=NOON + 2 * MINUTE)
    assert left.left_at == NOON + 2 * MINUTE
    assert last_entry()[0] == "waiting.left"
    assert joins(ready, at=NOON + 3 * MINUTE) != row
    assert floor_faults() == ()


def test_a_press_sent_again_after_leaving_joins_nothing(ready: Floor) -> None:
    tap = uuid.uuid4()
    row = joins(ready, tap=tap)
    leave_waiting(waiting=row, by=ready.cast.student, tap=uuid.uuid4(), at=NOON + 2 * MINUTE)
    assert joins(ready, tap=tap, at=NOON + 3 * MINUTE).left_at == NOON + 2 * MINUTE


def test_student_given_the_machine_no_longer_waits(ready: Floor) -> None:
    row = joins(ready)
    given(ready, ready.cast.student, at=NOON + 2 * MINUTE)
    row.refresh_from_db()
    assert row.left_by == ready.cast.teacher
    assert code_of(joins, ready, at=NOON + 3 * MINUTE) == "waiting.at-it"
    assert floor_faults() == ()


def test_teacher_adds_a_student(ready: Floor) -> None:
    assert joins(ready, by=ready.cast.teacher).added_by == ready.cast.teacher


def test_is_refused_with_its_reason(ready: Floor) -> None:
    assert code_of(joins, ready, machine=ready.drill_1) == "waiting.not-cleared"
    assert code_of(joins, ready, at=NOON + 20 * MINUTE) == "waiting.closed"
    keep_runs(ready.cast.shop, keeps_runs=False)
    assert code_of(joins, ready) == "waiting.not-kept"


def test_no_one_else(ready: Floor) -> None:
    row = joins(ready)
    for person in ready.cast.not_teachers:
        if person != ready.cast.student:
            assert code_of(joins, ready, by=person, student=ready.cast.student) in {
                "access.not-yours",
                "floor.no-grant",
            }
            leave = {"waiting": row, "by": person, "tap": uuid.uuid4(), "at": NOON + 2 * MINUTE}
            assert code_of(leave_waiting, **leave) in NOT_ALLOWED
