"""Closing a shop by its list, the settings of the floor, and grants of supervising."""

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from machines.floor.acts.closing import close_shop
from machines.floor.acts.settings import FloorWishes, order_tiles, set_floor
from machines.floor.acts.shops import take_over
from machines.floor.acts.supervising import grant_supervising, withdraw_supervising
from machines.floor.facts import ClosingAnswer
from machines.floor.queries import closing_lines, settings_of
from machines.floor.rules.closing import STARTER_LINES
from machines.models import FloorSettings, ShopOpening, SupervisingGrant
from shopsafe.school.models import Person
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor
from tests.factories.shop_in_use import MINUTE, floor_faults, opened, running, stopped
from tests.factories.substitutes import with_number


def answers(seen_by: Person, *, lines: int = len(STARTER_LINES), not_done: str = "") -> list[ClosingAnswer]:
    """Every line done, but the last where `not_done` says why."""
    key = str(seen_by.pk)
    rows = [ClosingAnswer(line, done=True, seen_by=key, place=line) for line in range(lines)]
    if not_done:
        rows[-1] = ClosingAnswer(lines - 1, done=False, seen_by=key, place=lines - 1, note=not_done)
    return rows


def closed(floor: Floor, **more: Any) -> ShopOpening:
    asked = {
        "shop": floor.cast.shop, "answers": answers(floor.cast.teacher), "lines": STARTER_LINES,
        "by": floor.cast.teacher, "tap": uuid.uuid4(), "at": NOON + 5 * MINUTE,
    }  # fmt: skip
    return close_shop(**(asked | more))


class TestCloses:
    def test_closing_list_records_the_person_who_checked_each_line(self, floor: Floor) -> None:
        opened(floor)
        row = closed(floor, answers=answers(floor.cast.student, not_done="One knife is missing. Drawer locked."))
        assert row.answers[-1] == {
            "line": "Dust collector off", "done": False, "seen_by": floor.cast.student.pk,
            "note": "One knife is missing. Drawer locked.",
        }  # fmt: skip
        kind, payload = last_entry()
        assert (kind, payload["answers"]) == ("shop.closed", row.answers)
        assert floor.cast.student.name not in str(payload)
        assert floor_faults() == ()

    def test_not_while_a_run_is_open(self, floor: Floor) -> None:
        floor.make_cleared(floor.cast.student)
        opened(floor)
        run = running(floor, floor.cast.student)
        assert code_of(closed, floor) == "closing.run.open"
        stopped(run, at=NOON + 4 * MINUTE)
        closed(floor)

    def test_no_line_is_skipped(self, floor: Floor) -> None:
        opened(floor)
        teacher = floor.cast.teacher
        assert code_of(closed, floor, answers=answers(teacher)[1:]) == "closing.line.not-answered"
        assert code_of(closed, floor, answers=answers(teacher, not_done=" ")) == "closing.line.no-note"
        assert code_of(closed, floor, answers=answers(floor.cast.office)) == "closing.not-of-the-shop"
        assert code_of(closed, floor, lines=STARTER_LINES[1:]) == "closing.lines-changed"

    def test_after_presence_is_over_and_past_midnight(self, floor: Floor) -> None:
        opened(floor, at=datetime(2026, 10, 13, 4, 50, tzinfo=UTC))  # 11:50 PM at the school
        assert closed(floor, at=datetime(2026, 10, 13, 5, 30, tzinfo=UTC)).closed_how == "list"

    def test_same_tap_closes_once_and_a_second_reads_it(self, floor: Floor) -> None:
        opened(floor)
        tap = uuid.uuid4()
        assert closed(floor, tap=tap) == closed(floor, tap=tap)
        assert code_of(closed, floor) == "closing.closed"

    def test_no_one_else(self, floor: Floor) -> None:
        opened(floor)
        for person in floor.cast.not_teachers:
            assert code_of(closed, floor, by=person) in {"access.not-yours", "floor.no-grant"}


def set_by(floor: Floor, **more: Any) -> FloorSettings:
    wishes = FloorWishes(keeps_runs=True, presence_minutes=10, lines=("All machines stopped", "Saw key in the safe"))
    asked = {"shop": floor.cast.shop, "wishes": wishes, "by": floor.cast.teacher, "tap": uuid.uuid4(), "at": NOON}
    return set_floor(**(asked | more))


class TestSettings:
    def test_are_kept_and_recorded(self, floor: Floor) -> None:
        row = set_by(floor)
        assert [line.text for line in closing_lines(row)] == ["All machines stopped", "Saw key in the safe"]
        assert (last_entry()[0], last_entry()[1]["presence_minutes"]) == ("floor.set", 10)
        set_by(floor, wishes=FloorWishes(keeps_runs=False, presence_minutes=5, lines=("All still",)))
        assert settings_of(floor.cast.shop.__class__.objects.get(pk=floor.cast.shop.pk)).presence_minutes == 5

    def test_say_what_is_wrong(self, floor: Floor) -> None:
        for wishes, code in (
            (FloorWishes(keeps_runs=True, presence_minutes=1, lines=("a",)), "floor.minutes"),
            (FloorWishes(keeps_runs=True, presence_minutes=15, lines=(" ",)), "floor.lines"),
            (FloorWishes(keeps_runs=True, presence_minutes=15, lines=("a", "a")), "floor.lines"),
            (FloorWishes(keeps_runs=True, presence_minutes=15, lines=("a" * 121,)), "floor.lines"),
        ):
            assert code_of(set_by, floor, wishes=wishes) == code

    def test_runs_are_not_turned_off_during_a_run(self, floor: Floor) -> None:
        floor.make_cleared(floor.cast.student)
        opened(floor)
        running(floor, floor.cast.student)
        off = FloorWishes(keeps_runs=False, presence_minutes=15, lines=("a",))
        assert code_of(set_by, floor, wishes=off, at=NOON + MINUTE) == "floor.runs-open"

    def test_tiles_stay_in_the_order_of_the_room(self, floor: Floor) -> None:
        asked = {"shop": floor.cast.shop, "by": floor.cast.teacher, "at": NOON}
        row = order_tiles(machines=[floor.saw_3, floor.drill_1], **asked)
        assert row.tile_order == [floor.saw_3.pk, floor.drill_1.pk]
        assert code_of(order_tiles, machines=[floor.far_saw], **asked) == "floor.other-shop"

    def test_no_one_else(self, floor: Floor) -> None:
        for person in floor.cast.not_teachers:
            assert code_of(set_by, floor, by=person) == "access.not-yours"
            assert code_of(order_tiles, shop=floor.cast.shop, machines=[], by=person, at=NOON) == "access.not-yours"


def granted(floor: Floor, **more: Any) -> SupervisingGrant:
    asked = {
        "section": floor.cast.section, "substitute": floor.cast.substitute, "day": NOON.date(),
        "by": floor.cast.teacher, "tap": uuid.uuid4(), "at": NOON,
    }  # fmt: skip
    return grant_supervising(**(asked | more))


class TestSupervising:
    def test_opens_the_shop_for_that_class_and_day_alone(self, floor: Floor) -> None:
        with_number(floor.cast)
        granted(floor)
        assert code_of(opened, floor, by=floor.cast.substitute, section=None) == "floor.no-grant"
        assert code_of(opened, floor, by=floor.cast.substitute, at=NOON + timedelta(days=1)) == "floor.no-grant"
        opened(floor, by=floor.cast.substitute)
        assert floor_faults() == ()

    def test_counts_for_nothing_while_the_substitute_sheet_says_no(self, floor: Floor) -> None:
        granted(floor)
        assert code_of(opened, floor, by=floor.cast.substitute) == "floor.sheet-says-no"
        opened(floor)
        again = {"shop": floor.cast.shop, "by": floor.cast.substitute, "tap": uuid.uuid4(), "at": NOON}
        assert code_of(take_over, **again) == "floor.sheet-says-no"
        with_number(floor.cast)
        take_over(**again)

    def test_ends_when_it_is_withdrawn(self, floor: Floor) -> None:
        row = withdraw_supervising(grant=granted(floor), by=floor.cast.office, tap=uuid.uuid4(), at=NOON)
        assert code_of(opened, floor, by=floor.cast.substitute) == "floor.no-grant"
        assert granted(floor) != row
        assert floor_faults() == ()

    def test_second_grant_changes_nothing(self, floor: Floor) -> None:
        assert granted(floor) == granted(floor)

    def test_says_what_is_wrong(self, floor: Floor) -> None:
        assert code_of(granted, floor, day=NOON.date() - timedelta(days=1)) == "supervising.past"
        assert code_of(granted, floor, day=NOON.date() + timedelta(days=4000)) == "supervising.not-in-term"
        assert code_of(granted, floor, substitute=floor.cast.colleague) == "supervising.not-a-substitute"

    def test_no_one_else_grants(self, floor: Floor) -> None:
        for person in (floor.cast.colleague, *floor.cast.not_teachers):
            if person != floor.cast.office:
                assert code_of(granted, floor, by=person) == "access.not-yours"
