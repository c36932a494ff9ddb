"""How an act runs: again where the database gave it up for another, and no oftener than that."""

import threading
from collections.abc import Callable

import pytest
from django.db import OperationalError, connection
from psycopg import errors

from machines.models import Machine
from quizzes.models import Bank
from shopsafe.act import RUNS, act
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Entry
from shopsafe.school.locks import lock, lock_rows, lock_school
from shopsafe.school.models import Person
from tests.cast import make_cast
from tests.factories.machines import NOON, Floor, make_floor


@pytest.fixture
def floor(transactional_db: None) -> Floor:
    return make_floor(make_cast())


def given_up(why: type[Exception]) -> OperationalError:
    error = OperationalError("given up")
    error.__cause__ = why()
    return error


@pytest.mark.parametrize("why", [errors.DeadlockDetected, errors.SerializationFailure])
def test_act_runs_again_when_it_was_given_up(floor: Floor, why: type[Exception]) -> None:
    runs = []

    @act
    def note() -> int:
        runs.append(append(kind="test.made", school=floor.cast.school.pk, at=NOON, payload={}))
        if len(runs) < RUNS:
            raise given_up(why)
        return len(runs)

    assert note() == RUNS == 4
    assert Entry.objects.count() == 1


def test_act_raises_when_every_run_is_aborted(floor: Floor) -> None:
    runs = []

    @act
    def note() -> None:
        runs.append(1)
        raise given_up(errors.DeadlockDetected)

    with pytest.raises(OperationalError):
        note()
    assert len(runs) == RUNS


@pytest.mark.parametrize("why", [errors.QueryCanceled, ValueError])
def test_act_does_not_run_again_for_another_reason(floor: Floor, why: type[Exception]) -> None:
    runs = []

    @act
    def note() -> None:
        runs.append(1)
        raise given_up(why)

    with pytest.raises(OperationalError):
        note()
    assert len(runs) == 1


def test_lock_puts_the_stored_values_into_its_rows(floor: Floor) -> None:
    machine = Machine.objects.select_related("kind").get(pk=floor.saw_2.pk)
    Machine.objects.filter(pk=machine.pk).update(retired_at=NOON, kind=floor.drill)
    student = floor.cast.student
    Person.objects.filter(pk=student.pk).update(name="Uma Lund")

    @act
    def read() -> None:
        lock(machine, student)

    read()
    assert (machine.retired_at, machine.kind, student.name) == (NOON, floor.drill, "Uma Lund")


def test_lock_leaves_what_was_not_read_unread(floor: Floor) -> None:
    machine = Machine.objects.defer("name").get(pk=floor.saw_2.pk)

    @act
    def read() -> None:
        lock_rows(machine)

    read()
    assert machine.get_deferred_fields() == {"name"}


def together(*works: Callable[[], object]) -> list[Exception]:
    """What each raised that ran beside the others."""
    raised: list[Exception] = []

    def run(work: Callable[[], object]) -> None:
        try:
            work()
        except Exception as error:
            raised.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[work]) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return raised


@pytest.mark.skipif(connection.vendor == "sqlite", reason="one transaction writes at a time")
def test_deadlock_is_resolved_by_running_again(floor: Floor) -> None:
    """Two that lock rows of one kind the other way round, as no act does: one is given up, and both are done."""
    both = threading.Barrier(2)
    runs = []

    def crossing(first: Bank, second: Bank) -> Callable[[], None]:
        @act
        def cross() -> None:
            runs.append(1)
            lock_rows(first)
            if len(runs) <= 2:
                both.wait(timeout=60)
            lock_rows(second)
            append(kind="test.made", school=first.school_id, at=NOON, payload={})

        return cross

    banks = [floor.general, floor.saw_bank]
    mirrored = [Bank.objects.get(pk=bank.pk) for bank in reversed(banks)]
    assert together(crossing(*banks), crossing(*mirrored)) == []
    assert len(runs) > 2
    assert Entry.objects.count() == 2


@pytest.mark.skipif(connection.vendor == "sqlite", reason="one transaction writes at a time")
def test_locked_row_can_be_pointed_at(floor: Floor) -> None:
    """A class list waits for the logbook while a tag-out, which holds it, commits a row of a locked machine."""
    locked, appended = threading.Event(), threading.Event()

    @act
    def list_of_students() -> None:
        lock_rows(Person.objects.get(pk=floor.cast.student.pk), Machine.objects.get(pk=floor.saw_2.pk))
        locked.set()
        assert appended.wait(timeout=60)
        append(kind="test.made", school=floor.cast.school.pk, at=NOON, payload={})

    @act
    def tag_out() -> None:
        assert locked.wait(timeout=60)
        row = {"machine": floor.saw_2, "by": floor.cast.teacher, "at": NOON, "reason": "Blade cracked"}
        floor.saw_2.tag_outs.create(school=floor.cast.school, **row)
        append(kind="test.made", school=floor.cast.school.pk, at=NOON, payload={})
        appended.set()

    assert together(list_of_students, tag_out) == []
    assert Entry.objects.count() == 2


@pytest.mark.skipif(connection.vendor == "sqlite", reason="one transaction writes at a time")
def test_school_held_alone_waits_for_those_who_share_it(floor: Floor) -> None:
    shared, order = threading.Event(), []

    @act
    def about_one_student() -> None:
        lock(Person.objects.get(pk=floor.cast.student.pk))
        shared.set()
        threading.Event().wait(0.2)
        order.append("student")

    @act
    def about_all() -> None:
        assert shared.wait(timeout=60)
        lock_school(floor.cast.school.pk)
        order.append("school")

    assert together(about_one_student, about_all) == []
    assert order == ["student", "school"]
