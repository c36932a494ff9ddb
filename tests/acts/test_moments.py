"""The moment of an act: after its lock, and after every act before it, whatever the server's clock says."""

import uuid
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

import pytest
import time_machine

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.holds.acts import lift_hold, place_hold
from machines.models import Hold, SignOff
from machines.sign_offs.acts import sign_off, undo_sign_off, withdraw_sign_off
from quizzes.attempts.acts import save_answer, start_attempt
from quizzes.questions.form_data import line_of
from shopsafe.act import OutOfTurn, act
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Listing
from shopsafe.logbook.queries import last_moment
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.clock import act_moment, is_behind, school_moment
from shopsafe.school.locks import lock, lock_rows, share_school
from shopsafe.school.refusals import Refused
from tests.factories.banks import bank_text, key_for, published
from tests.factories.machines import NOON, POINTS, Floor, signed
from tests.logbook.record import chain_holds

HOUR = timedelta(hours=1)


@pytest.fixture
def clock(db: None) -> Iterator[time_machine.Traveller]:
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


def hold(floor: Floor) -> Hold:
    who = {"student": floor.cast.student, "by": floor.cast.teacher}
    return place_hold(machines=None, reason="dress", lifts="talk", tap=uuid.uuid4(), **who)


def standing(floor: Floor) -> Standing:
    """As a page would say it now."""
    return answer_for(floor.cast.student, floor.saw_2, school_moment(floor.cast.school.pk)).standing


def test_act_takes_the_time_of_the_server(floor: Floor, clock: time_machine.Traveller) -> None:
    assert hold(floor).placed_at == NOON


def test_act_follows_the_act_before_it_when_the_clock_was_set_back(floor: Floor, clock: time_machine.Traveller) -> None:
    placed = hold(floor)
    clock.move_to(NOON - HOUR)
    lifted = lift_hold(hold=placed, by=floor.cast.teacher, words="Talked.")
    assert placed.placed_at < lifted.lifted_at < placed.placed_at + timedelta(seconds=1)
    again = hold(floor)
    assert lifted.lifted_at < again.placed_at
    assert list(Listing.objects.order_by("entry").values_list("at", flat=True)) == [
        placed.placed_at, lifted.lifted_at, again.placed_at,
    ]  # fmt: skip
    assert chain_holds(), verify().says_wrong


def test_hold_counts_when_the_clock_was_set_back(floor: Floor, clock: time_machine.Traveller) -> None:
    floor.make_cleared(floor.cast.student)
    hold(floor)
    clock.move_to(NOON - HOUR)
    assert standing(floor) is Standing.ON_HOLD


def test_hold_of_that_hour_counts_too(floor: Floor, clock: time_machine.Traveller) -> None:
    floor.make_cleared(floor.cast.student)
    lift_hold(hold=hold(floor), by=floor.cast.teacher, words="Talked.")
    clock.move_to(NOON - HOUR)
    hold(floor)
    assert standing(floor) is Standing.ON_HOLD
    clock.move_to(NOON + HOUR)
    assert standing(floor) is Standing.ON_HOLD


def test_withdrawal_counts_when_the_clock_was_set_back(floor: Floor, clock: time_machine.Traveller) -> None:
    floor.make_ready(floor.cast.student)
    who = {"student": floor.cast.student, "machine": floor.saw_2, "by": floor.cast.teacher}
    new_sign_off = sign_off(ticked=POINTS, tap=uuid.uuid4(), **who)
    clock.move_to(NOON - HOUR)
    assert standing(floor) is Standing.CLEARED
    withdraw_sign_off(sign_off=new_sign_off, by=floor.cast.teacher, reason="Wrong saw.")
    assert standing(floor) is Standing.READY


def test_acts_of_one_moment_follow_each_other(floor: Floor, clock: time_machine.Traveller) -> None:
    floor.make_ready(floor.cast.student)
    who = {"student": floor.cast.student, "machine": floor.saw_2, "by": floor.cast.teacher}
    new_sign_off = sign_off(ticked=POINTS, tap=uuid.uuid4(), **who)
    undone = undo_sign_off(sign_off=new_sign_off, by=floor.cast.teacher)
    assert new_sign_off.at < undone.undone_at


def test_another_school_keeps_its_own_time(floor: Floor, clock: time_machine.Traveller) -> None:
    hold(floor)
    clock.move_to(NOON - HOUR)
    assert school_moment(floor.cast.school.pk) == NOON
    assert school_moment(floor.cast.stranger_school.pk) == NOON - HOUR


def test_answer_is_not_saved_before_its_quiz_was_started(floor: Floor, clock: time_machine.Traveller) -> None:
    bank = published(floor.cast.teacher, bank_text(code="lathe", subject="Lathe"))
    attempt = start_attempt(student=floor.cast.student, bank=bank.pk)
    clock.move_to(attempt.started_at - HOUR)
    sent = key_for(line_of(attempt.form["lines"][0]))
    kept, _ = save_answer(student=floor.cast.student, attempt=attempt.pk, number=1, sent=sent, revision=0)
    assert kept is not None
    assert kept.saved_at == attempt.started_at


def test_second_sign_off_is_refused_by_the_row_that_stands(floor: Floor) -> None:
    """A sign-off of a later moment than ours: our picture of the records is too old to renew it."""
    floor.make_ready(floor.cast.student)
    signed(floor.cast.student, floor.saw_2, floor.cast.colleague, at=NOON + timedelta(seconds=1))
    with pytest.raises(Refused) as caught:
        sign_off(
            student=floor.cast.student, machine=floor.saw_2, by=floor.cast.teacher, ticked=POINTS, tap=uuid.uuid4(),
            at=NOON,
        )  # fmt: skip
    assert caught.value.code == "sign-off.already"
    assert caught.value.sentence.startswith(f"{floor.cast.colleague.name} signed off")
    assert SignOff.objects.count() == 1


def test_last_moment_is_missing_before_the_first_entry(floor: Floor) -> None:
    assert last_moment(floor.cast.school.pk) is None


def test_clock_is_behind_by_more_than_two_servers_differ(clock: time_machine.Traveller) -> None:
    assert not is_behind(NOON + timedelta(seconds=4))
    assert is_behind(NOON + timedelta(seconds=6))


# The order in which an act is written


@act
def out_of_order(floor: Floor) -> None:
    lock(floor.saw_2)
    lock(floor.cast.student)


@act
def too_early(floor: Floor) -> datetime:
    return act_moment(floor.cast.school.pk, None)


@act
def locks_after_the_logbook(floor: Floor) -> None:
    share_school(floor.cast.school.pk)
    append(kind="test.made", school=floor.cast.school.pk, at=NOON, payload={})
    lock(floor.cast.student)


@act
def act_in_an_act(floor: Floor) -> None:
    too_early(floor)


@act
def locks_people_twice(floor: Floor) -> None:
    lock_rows(floor.cast.student)
    lock_rows(floor.cast.classmate)


WRONG = [out_of_order, too_early, locks_after_the_logbook, act_in_an_act, locks_people_twice]


@pytest.mark.parametrize("wrong", WRONG)
def test_act_in_the_wrong_order_raises(floor: Floor, wrong: Callable[[Floor], object]) -> None:
    with pytest.raises(OutOfTurn):
        wrong(floor)
