"""Undoing a sign-off within ten minutes, and withdrawing it later."""

from datetime import timedelta

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.sign_offs.acts import undo_sign_off, withdraw_sign_off
from shopsafe.logbook.models import Entry
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor, signed

TEN_MINUTES, SECOND = timedelta(minutes=10), timedelta(seconds=1)


def test_is_undone_until_the_ten_minutes_are_over(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    row = signed(floor.cast.student, floor.saw_2, floor.cast.teacher, NOON)
    assert code_of(undo_sign_off, sign_off=row, by=floor.cast.teacher, at=NOON + TEN_MINUTES) == "undo.too-late"
    assert answer_for(floor.cast.student, floor.saw_2, NOON + TEN_MINUTES).cleared
    undo_sign_off(sign_off=row, by=floor.cast.teacher, at=NOON + TEN_MINUTES - SECOND)
    assert answer_for(floor.cast.student, floor.saw_2, NOON + TEN_MINUTES).standing is Standing.READY
    assert last_entry()[0] == "signoff.undone"


def test_second_undo_changes_nothing(floor: Floor) -> None:
    row = floor.make_cleared(floor.cast.student)
    at = row.at + SECOND
    first = undo_sign_off(sign_off=row, by=floor.cast.teacher, at=at)
    assert undo_sign_off(sign_off=row, by=floor.cast.teacher, at=at + SECOND).undone_at == first.undone_at
    assert Entry.objects.count() == 1


def test_a_colleague_can_not_undo_but_can_withdraw(floor: Floor) -> None:
    row = floor.make_cleared(floor.cast.student)
    assert code_of(undo_sign_off, sign_off=row, by=floor.cast.colleague, at=row.at) == "undo.not-yours"
    withdraw_sign_off(sign_off=row, by=floor.cast.colleague, reason=" Wrong saw. ", at=NOON)
    kind, payload = last_entry()
    assert (kind, payload["reason"], payload["sign_off"]) == ("signoff.withdrawn", "Wrong saw.", row.pk)
    assert answer_for(floor.cast.student, floor.saw_2, NOON - SECOND).cleared
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is Standing.READY


def test_a_withdrawal_says_why(floor: Floor) -> None:
    row = floor.make_cleared(floor.cast.student)
    withdraw = {"sign_off": row, "by": floor.cast.teacher, "at": NOON}
    assert code_of(withdraw_sign_off, reason="  ", **withdraw) == "withdraw.no-reason"
    withdraw_sign_off(reason="Wrong saw.", **withdraw)
    assert code_of(withdraw_sign_off, reason="Again.", **withdraw) == "sign-off.gone"
    assert code_of(undo_sign_off, **withdraw) == "sign-off.gone"


def test_no_one_else_takes_a_sign_off_back(floor: Floor) -> None:
    row = floor.make_cleared(floor.cast.student)
    for person in floor.cast.not_teachers:
        assert code_of(undo_sign_off, sign_off=row, by=person, at=row.at) == "access.not-yours", person
        assert code_of(withdraw_sign_off, sign_off=row, by=person, reason="x", at=NOON) == "access.not-yours", person
    assert answer_for(floor.cast.student, floor.saw_2, NOON).cleared
    assert not Entry.objects.exists()
