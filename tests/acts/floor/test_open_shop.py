"""Opening a shop, confirming presence, taking over, ending all runs."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from machines.floor.acts.shops import allow_runs, confirm_presence, end_all_runs, open_shop, take_over
from machines.floor.facts import ShopStatus
from machines.floor.queries import open_shop_of
from machines.models import PresenceConfirmation, ShopOpening
from machines.sign_offs.acts import sign_off
from shopsafe.logbook.queries import last_moment
from shopsafe.school.models import Person
from tests.acts.reading import code_of, entries, last_entry
from tests.cast import Cast
from tests.factories.machines import NOON, POINTS, Floor
from tests.factories.shop_in_use import MINUTE, floor_faults, given, opened, running, stopped


def asks(cast: Cast, by: Person, at: datetime = NOON) -> dict[str, object]:
    return {"shop": cast.shop, "by": by, "tap": uuid.uuid4(), "at": at}


def status(cast: Cast, clock: datetime) -> ShopStatus:
    now = open_shop_of(cast.shop.pk, last_moment(cast.school.pk))
    return now.state(clock).status if now else ShopStatus.CLOSED


def test_opens_for_a_class_and_says_who_is_there(floor: Floor) -> None:
    cast = floor.cast
    assert status(cast, NOON) == ShopStatus.CLOSED
    row = opened(floor)
    assert status(cast, NOON) == ShopStatus.OPEN
    kind, payload = last_entry()
    assert (kind, payload["opening"], payload["section"]["id"]) == ("shop.opened", row.pk, cast.section.pk)
    assert floor_faults() == ()


def test_opens_for_no_class(floor: Floor) -> None:
    assert opened(floor, section=None).section is None


def test_same_tap_is_the_same_opening(floor: Floor) -> None:
    tap = uuid.uuid4()
    assert opened(floor, tap=tap) == opened(floor, tap=tap)
    assert code_of(opened, floor, tap=tap, section=None) == "open.tap-used"


def test_class_of_another_shop_is_refused(floor: Floor) -> None:
    assert code_of(opened, floor, section=floor.cast.stranger_section) == "opening.other-shop"


def test_no_one_else_opens(floor: Floor) -> None:
    for person in floor.cast.not_teachers:
        expected = "floor.no-grant" if person == floor.cast.substitute else "access.not-yours"
        assert code_of(opened, floor, by=person) == expected, person
    opened(floor, by=floor.cast.colleague)


def test_second_opening_reads_who_has_the_shop(floor: Floor) -> None:
    opened(floor)
    assert code_of(opened, floor, at=NOON + MINUTE, by=floor.cast.colleague) == "opening.already"
    assert ShopOpening.objects.count() == 1


def test_closes_itself_when_no_one_confirms(floor: Floor) -> None:
    cast = floor.cast
    opened(floor)
    assert status(cast, NOON + 14 * MINUTE) == ShopStatus.OPEN
    assert status(cast, NOON + 15 * MINUTE) == ShopStatus.PRESENCE_OVER
    confirm_presence(**asks(cast, cast.teacher, NOON + 20 * MINUTE))
    assert status(cast, NOON + 34 * MINUTE) == ShopStatus.OPEN
    assert floor_faults() == ()


def test_a_late_opening_ends_the_one_that_was_left(floor: Floor) -> None:
    left = opened(floor)
    opened(floor, at=NOON + 60 * MINUTE, by=floor.cast.colleague)
    left.refresh_from_db()
    assert (left.closed_how, left.closed_by) == ("left", floor.cast.colleague)
    assert len(entries("shop.left_open")) == 1
    assert floor_faults() == ()


def test_a_late_opening_waits_for_open_runs(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    opened(floor)
    run = running(floor, floor.cast.student)
    assert code_of(opened, floor, at=NOON + 60 * MINUTE) == "opening.runs-open"
    stopped(run, floor.cast.teacher, NOON + 60 * MINUTE)
    opened(floor, at=NOON + 61 * MINUTE)


def test_presence_is_the_supervisor_s_and_a_colleague_takes_over_by_name(floor: Floor) -> None:
    cast = floor.cast
    opened(floor)
    later = NOON + 5 * MINUTE
    assert code_of(confirm_presence, **asks(cast, cast.colleague, later)) == "presence.another"
    take_over(**asks(cast, cast.colleague, later))
    assert code_of(confirm_presence, **asks(cast, cast.teacher, later)) == "presence.another"
    confirm_presence(**asks(cast, cast.colleague, later + MINUTE))
    for person in cast.not_teachers:
        expected = "floor.no-grant" if person == cast.substitute else "access.not-yours"
        assert code_of(take_over, **asks(cast, person, later)) == expected
        assert code_of(confirm_presence, **asks(cast, person, later)) == expected


def test_same_tap_confirms_once(floor: Floor) -> None:
    opened(floor)
    asked = asks(floor.cast, floor.cast.teacher, NOON + MINUTE)
    assert confirm_presence(**asked) == confirm_presence(**asked)
    assert PresenceConfirmation.objects.count() == 2


def test_closed_shop_takes_no_presence(floor: Floor) -> None:
    for deed in (confirm_presence, take_over, end_all_runs, allow_runs):
        assert code_of(deed, **asks(floor.cast, floor.cast.teacher)) == "presence.closed"


def test_presence_that_ran_out_yesterday_is_not_brought_back(floor: Floor) -> None:
    cast = floor.cast
    opened(floor)
    assert code_of(confirm_presence, **asks(cast, cast.teacher, NOON + timedelta(days=1))) == "presence.another-day"
    opened(floor, at=NOON + timedelta(days=1))


def test_evening_class_stays_open_across_midnight(floor: Floor) -> None:
    cast = floor.cast
    evening = datetime(2026, 10, 13, 4, 50, tzinfo=UTC)  # 11:50 PM at the school
    opened(floor, at=evening)
    confirm_presence(**asks(cast, cast.teacher, evening + 14 * MINUTE))
    assert status(cast, evening + 28 * MINUTE) == ShopStatus.OPEN


def test_daylight_saving_gives_no_hour_away(floor: Floor) -> None:
    """Clocks go back at 2:00 AM on November 1, 2026 in Chicago: 1:55 comes twice."""
    cast = floor.cast
    before = datetime(2026, 11, 1, 6, 50, tzinfo=UTC)  # 1:50 AM, the first time
    opened(floor, at=before)
    assert status(cast, before + 14 * MINUTE) == ShopStatus.OPEN
    assert status(cast, before + 15 * MINUTE) == ShopStatus.PRESENCE_OVER


def test_clock_set_back_keeps_off_until_presence_is_confirmed(floor: Floor) -> None:
    cast = floor.cast
    with time_machine.travel(NOON, tick=False) as clock:
        opened(floor, at=None)
        clock.move_to(NOON - timedelta(hours=2))
        assert status(cast, NOON - timedelta(hours=2)) == ShopStatus.CLOCK_CHANGED
        confirm_presence(shop=cast.shop, by=cast.teacher, tap=uuid.uuid4())
        assert status(cast, NOON - timedelta(hours=2)) == ShopStatus.OPEN
        clock.shift(timedelta(minutes=15))
        assert status(cast, NOON - timedelta(hours=1, minutes=45)) == ShopStatus.PRESENCE_OVER
        assert floor_faults() == ()


def test_tablet_asleep_for_20_minutes_finds_the_shop_closed(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    opened(floor)
    assert code_of(given, floor, floor.cast.student, at=NOON + 20 * MINUTE) == "shop.presence-over"


def test_a_sign_off_keeps_the_shop_open_and_opens_none(floor: Floor) -> None:

    cast = floor.cast
    opened(floor)
    for student in (cast.student, cast.classmate):
        floor.make_ready(student)
    asked = {"machine": floor.saw_2, "by": cast.teacher, "ticked": POINTS}
    sign_off(student=cast.student, tap=uuid.uuid4(), at=NOON + 10 * MINUTE, **asked)
    assert status(cast, NOON + 24 * MINUTE) == ShopStatus.OPEN
    sign_off(student=cast.classmate, tap=uuid.uuid4(), at=NOON + 40 * MINUTE, **asked)
    assert status(cast, NOON + 40 * MINUTE) == ShopStatus.PRESENCE_OVER
    assert floor_faults() == ()


class TestEndAllRuns:
    def test_keeps_off_until_allowed_again(self, floor: Floor) -> None:
        cast = floor.cast
        floor.make_cleared(cast.student)
        opened(floor)
        run = running(floor, cast.student)
        end_all_runs(**asks(cast, cast.teacher, NOON + MINUTE))
        assert status(cast, NOON + MINUTE) == ShopStatus.RUNS_ENDED
        assert code_of(allow_runs, **asks(cast, cast.teacher, NOON + 2 * MINUTE)) == "allow.runs-open"
        stopped(run, cast.teacher, NOON + 3 * MINUTE)
        allow_runs(**asks(cast, cast.teacher, NOON + 4 * MINUTE))
        assert status(cast, NOON + 4 * MINUTE) == ShopStatus.OPEN
        assert code_of(allow_runs, **asks(cast, cast.teacher, NOON + 4 * MINUTE)) == "allow.not-ended"
        assert floor_faults() == ()

    def test_a_second_press_is_the_same_end(self, floor: Floor) -> None:
        cast = floor.cast
        opened(floor)
        first = end_all_runs(**asks(cast, cast.teacher))
        assert end_all_runs(**asks(cast, cast.colleague)) == first

    def test_works_when_presence_is_over(self, floor: Floor) -> None:
        opened(floor)
        end_all_runs(**asks(floor.cast, floor.cast.colleague, NOON + 30 * MINUTE))

    def test_no_one_else(self, floor: Floor) -> None:
        opened(floor)
        for person in floor.cast.not_teachers:
            with pytest.raises(Exception, match=r"not yours|granted"):
                end_all_runs(**asks(floor.cast, person))


def test_open_shop_needs_no_settings(floor: Floor) -> None:
    open_shop(shop=floor.cast.shop, section=None, by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    assert status(floor.cast, NOON) == ShopStatus.OPEN
