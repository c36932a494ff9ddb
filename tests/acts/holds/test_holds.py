"""Placing a hold on a student and lifting it."""

import uuid
from datetime import date, timedelta
from typing import Any

import pytest

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.holds.acts import lift_hold, place_hold
from machines.models import Hold
from shopsafe.logbook.models import Entry
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor

SECOND = timedelta(seconds=1)


def place(floor: Floor, **changes: Any) -> Hold:
    asked: dict[str, Any] = {
        "student": floor.cast.student, "machines": [floor.saw_2], "reason": "horseplay", "lifts": "talk",
        "by": floor.cast.teacher, "tap": uuid.uuid4(), "at": NOON,
    }  # fmt: skip
    return place_hold(**(asked | changes))


def standing(floor: Floor, at: Any = NOON, machine: Any = None) -> Standing:
    return answer_for(floor.cast.student, machine or floor.saw_2, at).standing


def test_a_hold_on_one_machine_leaves_the_next_one_alone(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    place(floor)
    assert standing(floor, NOON - SECOND) is Standing.CLEARED
    assert standing(floor) is Standing.ON_HOLD
    assert standing(floor, machine=floor.saw_3) is Standing.READY


def test_a_hold_on_all_covers_each_and_says_so(floor: Floor) -> None:
    place(floor, machines=None, words="Threw a block.")
    assert standing(floor) is standing(floor, machine=floor.drill_1) is Standing.ON_HOLD
    kind, payload = last_entry()
    assert (kind, payload["machines"], payload["why"]) == ("hold.placed", "every machine", "Horseplay: Threw a block.")


def test_lifting_brings_back_what_was_there_and_is_recorded(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    hold = place(floor)
    lift_hold(hold=hold, by=floor.cast.colleague, words="We talked.", at=NOON + timedelta(hours=1))
    assert standing(floor, NOON + timedelta(hours=1) - SECOND) is Standing.ON_HOLD
    assert standing(floor, NOON + timedelta(hours=1)) is Standing.CLEARED
    kind, payload = last_entry()
    assert (kind, payload["words"], payload["hold"]) == ("hold.lifted", "We talked.", hold.pk)


def test_hold_with_a_last_day_ends_at_the_end_of_that_day(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    hold = place(floor, lifts="date", last_day=date(2026, 10, 14))
    last = NOON + timedelta(days=2, hours=12)
    assert standing(floor, last - SECOND) is Standing.ON_HOLD
    assert standing(floor, last) is Standing.CLEARED
    assert code_of(lift_hold, hold=hold, by=floor.cast.teacher, words="x", at=last) == "hold.over"


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"machines": []}, "hold.no-machine"),
        ({"reason": ""}, "hold.no-reason"),
        ({"reason": "boredom"}, "hold.no-reason"),
        ({"reason": "other"}, "hold.no-words"),
        ({"lifts": ""}, "hold.no-way-out"),
        ({"lifts": "rules"}, "hold.no-way-out"),
        ({"lifts": "quiz"}, "hold.no-way-out"),
        ({"lifts": "date"}, "hold.no-day"),
        ({"lifts": "date", "last_day": date(2026, 10, 11)}, "hold.day-passed"),
    ],
)
def test_a_hold_that_says_too_little_is_not_placed(floor: Floor, changes: dict[str, Any], code: str) -> None:
    assert code_of(place, floor, **changes) == code
    assert not Hold.objects.exists()


def test_a_machine_of_another_school_can_not_be_held(floor: Floor) -> None:
    assert code_of(place, floor, machines=[floor.far_saw]) == "hold.elsewhere"


def test_the_same_tap_is_the_same_hold_and_serves_no_other_student(floor: Floor) -> None:
    tap = uuid.uuid4()
    assert place(floor, tap=tap) == place(floor, tap=tap)
    assert code_of(place, floor, tap=tap, student=floor.cast.classmate) == "hold.tap-used"
    assert (Hold.objects.count(), Entry.objects.count()) == (1, 1)


def test_a_hold_is_lifted_once_and_with_words(floor: Floor) -> None:
    hold = place(floor)
    assert code_of(lift_hold, hold=hold, by=floor.cast.teacher, words=" ", at=NOON) == "lift.no-words"
    lift_hold(hold=hold, by=floor.cast.teacher, words="We talked.", at=NOON)
    assert code_of(lift_hold, hold=hold, by=floor.cast.colleague, words="x", at=NOON) == "hold.lifted-already"


def test_no_one_else_places_or_lifts(floor: Floor) -> None:
    hold = place(floor)
    for person in floor.cast.not_teachers:
        assert code_of(place, floor, by=person) == "access.not-yours", person
        assert code_of(lift_hold, hold=hold, by=person, words="x", at=NOON) == "access.not-yours", person
    assert code_of(place, floor, student=floor.cast.stranger_student) == "access.not-yours"
    assert standing(floor) is Standing.ON_HOLD
    assert (Hold.objects.count(), Entry.objects.count()) == (1, 1)
