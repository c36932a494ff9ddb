"""One press of a button is one act, however often it is sent; with another body it is refused."""

import threading
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from machines.holds.acts import place_hold
from machines.models import Hold, SignOff, TagOut
from machines.sign_offs.acts import sign_off, withdraw_sign_off
from machines.tag_outs.acts import tag_out
from shopsafe.act import act
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Tap
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import OTHER_BODY, is_repeated
from tests.cast import make_cast
from tests.factories.machines import NOON, POINTS, Floor, make_floor

KEY = uuid.UUID(int=1)


def hold(floor: Floor, **changes: Any) -> Hold:
    asked = {"student": floor.cast.student, "machines": [floor.saw_2], "reason": "dress", "lifts": "talk", "words": ""}
    return place_hold(**(asked | {"by": floor.cast.teacher, "tap": KEY, "at": NOON} | changes))


def tag(floor: Floor, **changes: Any) -> TagOut:
    asked = {"machine": floor.saw_2, "reason": "Blade cracked", "by": floor.cast.teacher, "tap": KEY, "at": NOON}
    return tag_out(**(asked | changes))


def sign(floor: Floor, **changes: Any) -> SignOff:
    asked = {"student": floor.cast.student, "machine": floor.saw_2, "by": floor.cast.teacher, "ticked": POINTS}
    return sign_off(**(asked | {"tap": KEY, "at": NOON} | changes))


def withdraw(floor: Floor, **changes: Any) -> SignOff:
    row = SignOff.objects.first() or floor.make_cleared(floor.cast.student)
    asked = {"sign_off": row, "by": floor.cast.teacher, "reason": "Wrong saw", "tap": KEY, "at": NOON}
    return withdraw_sign_off(**(asked | changes))


# An act, and every other body under the same tap.
OTHERS: list[tuple[Callable[..., Any], Callable[[Floor], dict[str, Any]]]] = [
    (hold, lambda floor: {"machines": None}),
    (hold, lambda floor: {"machines": [floor.saw_2, floor.saw_3]}),
    (hold, lambda floor: {"reason": "injury"}),
    (hold, lambda floor: {"words": "Loose sleeves."}),
    (hold, lambda floor: {"lifts": "office"}),
    (hold, lambda floor: {"student": floor.cast.classmate}),
    (hold, lambda floor: {"by": floor.cast.colleague}),
    (tag, lambda floor: {"reason": "Guard loose"}),
    (tag, lambda floor: {"machine": floor.saw_3}),
    (tag, lambda floor: {"by": floor.cast.colleague}),
    (sign, lambda floor: {"machine": floor.saw_3}),
    (sign, lambda floor: {"ticked": POINTS[:2]}),
    (sign, lambda floor: {"by": floor.cast.colleague}),
    (withdraw, lambda floor: {"reason": "Wrong student"}),
    (withdraw, lambda floor: {"by": floor.cast.colleague}),
]


@pytest.mark.parametrize(("do", "changes"), OTHERS)
def test_other_body_under_one_tap_is_refused(floor: Floor, do: Callable[..., Any], changes: Any) -> None:
    if do is sign:
        floor.make_ready(floor.cast.student)
    do(floor)
    entries = Entry.objects.count()
    with pytest.raises(Refused) as caught:
        do(floor, **changes(floor))
    assert caught.value.code.endswith(".tap-used")
    assert (caught.value.status, caught.value.sentence) == (422, OTHER_BODY)
    assert (Entry.objects.count(), Tap.objects.count()) == (entries, 1)


@pytest.mark.parametrize("do", [hold, tag, sign, withdraw])
def test_same_body_under_one_tap_is_one_act(floor: Floor, do: Callable[..., Any]) -> None:
    if do is sign:
        floor.make_ready(floor.cast.student)
    assert do(floor) == do(floor)
    assert (Entry.objects.count(), Tap.objects.count()) == (1, 1)


def test_one_tap_serves_one_kind_of_act(floor: Floor) -> None:
    tag(floor)
    with pytest.raises(Refused) as caught:
        hold(floor)
    assert caught.value.code == "hold.tap-used"


def test_refused_act_leaves_its_tap_free(floor: Floor) -> None:
    with pytest.raises(Refused):
        tag(floor, reason=" ")
    assert not Tap.objects.exists()
    assert tag(floor).reason == "Blade cracked"


def test_order_in_which_boxes_are_checked_is_the_same_body(floor: Floor) -> None:
    both = [floor.saw_2, floor.saw_3]
    assert hold(floor, machines=both) == hold(floor, machines=both[::-1])


def test_tap_says_nothing_that_can_be_guessed(floor: Floor, settings: Any) -> None:
    """The digest is keyed: who reads the database can't try reasons until one fits."""

    @act
    def note() -> bool:
        return is_repeated(KEY, "hold", by=floor.cast.teacher, at=NOON, asked={"reason": "injury"})

    assert [note(), note()] == [False, True]
    settings.SECRET_KEY = "another one, and longer than fifty characters: 0123456789 abcdef"
    with pytest.raises(Refused):
        note()


@pytest.fixture
def floor_of_threads(transactional_db: None) -> Floor:
    return make_floor(make_cast())


def test_two_bodies_under_one_tap_at_once_are_one_act_and_one_refusal(floor_of_threads: Floor) -> None:
    """Of two students: no lock of theirs makes the second wait, the key alone does."""
    floor, outcomes, start = floor_of_threads, list[str](), threading.Barrier(2)

    def run(student: Any) -> None:
        start.wait()
        try:
            hold(floor, student=student)
            outcomes.append("done")
        except Refused as refusal:
            outcomes.append(refusal.code)
        finally:
            connection.close()

    racers = [threading.Thread(target=run, args=[who]) for who in (floor.cast.student, floor.cast.classmate)]
    for racer in racers:
        racer.start()
    for racer in racers:
        racer.join()
    assert sorted(outcomes) == ["done", "hold.tap-used"]
    assert (Hold.objects.count(), Tap.objects.count(), Entry.objects.count()) == (1, 1, 1)
