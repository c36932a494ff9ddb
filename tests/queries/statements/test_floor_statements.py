"""The statements of the floor: found on an index, and the same rows that the ORM finds."""

import uuid
from datetime import timedelta

import pytest
from django.db.models import Q

from machines.clearance.out_of_use import with_out_of_use
from machines.floor.acts.runs import end_run
from machines.floor.acts.waiting import join_waiting
from machines.floor.queries import open_runs
from machines.floor.rows.statements import MACHINES_NOW, OPEN_NOW, WAITING_NOW, machines_now, openings_now, waiting_now
from machines.holds.acts import place_hold
from machines.models import Machine, PresenceConfirmation, ShopOpening
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.tag_outs.acts import tag_out
from shopsafe.school.models import Shop
from tests.counting import queries, scans
from tests.factories.machines import NOON, Floor, MachineFactory, signed
from tests.factories.shop_in_use import MINUTE, opened, running

DAY = NOON.date()


@pytest.mark.parametrize(
    ("statement", "asked"),
    [
        (MACHINES_NOW, {"shop": 1, "at": "2026-10-12 17:00:00", "day": "2026-10-12"}),
        (WAITING_NOW, {"opening": 1}),
        (OPEN_NOW.replace("{shops}", "1,2"), {}),
    ],
)
def test_query_uses_an_index_and_never_scans_a_table(db: None, statement: str, asked: dict[str, object]) -> None:
    assert scans(statement, asked) == []


def test_machines_carry_what_the_orm_finds(floor: Floor) -> None:
    cast = floor.cast
    MachineFactory(shop=cast.shop, kind=floor.drill, number=9, retired_at=NOON - MINUTE)
    later = MachineFactory(shop=cast.shop, kind=floor.drill, number=10, added_at=NOON + timedelta(hours=1))
    for student, machine in ((cast.student, floor.saw_2), (cast.classmate, floor.saw_3)):
        floor.make_cleared(student, machine)
    opened(floor)
    running(floor, cast.student)
    ended = running(floor, cast.classmate, floor.saw_3)
    end_run(run=ended, by=cast.teacher, tap=uuid.uuid4(), at=NOON + MINUTE)
    asked = {"shop": cast.shop, "machine": floor.saw_3, "by": cast.teacher}
    report_hazard(seen=Sighting("cord"), tap=uuid.uuid4(), at=NOON + MINUTE, **asked)
    tag_out(machine=floor.drill_1, reason="Belt torn", by=cast.teacher, tap=uuid.uuid4(), at=NOON + MINUTE)
    at = NOON + 2 * MINUTE
    rows = machines_now(cast.shop.pk, at, DAY)
    serving = Machine.objects.filter(shop=cast.shop, added_at__lte=at).filter(Q(retired_at=None) | Q(retired_at__gt=at))
    stored = [
        (machine.pk, vars(machine)["tag_out_key"], vars(machine)["report_key"])
        for machine in with_out_of_use(serving, at)
    ]
    assert [(row.machine.pk, row.tag_out, row.off) for row in rows] == sorted(stored, key=lambda row: row[0])
    assert later.pk not in {row.machine.pk for row in rows}
    assert [(row.run, row.run.student.name) for row in rows if row.run] == [
        (run, run.student.name) for run in open_runs(cast.shop.pk)
    ]
    with queries() as sent:
        assert [str(row.machine) for row in rows] == ["Drill press 1", "Band saw 2", "Band saw 3"]
        assert [row.machine.spoken for row in rows][1] == "band saw 2"
    assert sent == []


@pytest.mark.parametrize(("everywhere", "held"), [(True, True), (False, True), (None, False)])
def test_hold_counts_where_it_covers_the_machine_of_the_run(floor: Floor, everywhere: bool | None, held: bool) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    signed(cast.student, floor.saw_3, cast.teacher)
    opened(floor)
    running(floor, cast.student)
    machines = {True: None, False: [floor.saw_2], None: [floor.saw_3]}[everywhere]
    asked = {"student": cast.student, "machines": machines, "reason": "misuse", "by": cast.teacher}
    place_hold(lifts="date", last_day=DAY, tap=uuid.uuid4(), at=NOON + MINUTE, **asked)
    assert [row.held for row in machines_now(cast.shop.pk, NOON, DAY)] == [False, held, False]
    assert not any(row.held for row in machines_now(cast.shop.pk, NOON, DAY + timedelta(days=1)))


def test_opening_comes_with_all_that_a_page_says_of_it(floor: Floor) -> None:
    cast = floor.cast
    assert openings_now([cast.shop.pk]) == []
    assert openings_now([]) == openings_now(Shop.objects.none()) == []
    opening = opened(floor)
    for shops in ([cast.shop.pk], Shop.objects.filter(pk=cast.shop.pk).order_by("name")):
        [(presence, ended_at)] = openings_now(shops)
        stored = PresenceConfirmation.objects.get()
        assert (presence, presence.at, presence.clock, presence.means, ended_at) == (
            stored, stored.at, stored.clock, stored.means, None,
        )  # fmt: skip
        with queries() as sent:
            assert (presence.by.name, presence.opening.opened_by.name) == (cast.teacher.name, cast.teacher.name)
            assert presence.opening.section.name == cast.section.name
            assert presence.opening.section.term.name == cast.section.term.name
            assert presence.opening.shop.school.time_zone == cast.school.time_zone
            assert presence.opening.shop.floor.keeps_runs
        assert sent == []
    opened_again = ShopOpening.objects.get(pk=opening.pk)
    assert opened_again.opened_at == presence.opening.opened_at


def test_waiting_students_come_in_the_order_of_asking(floor: Floor) -> None:
    cast = floor.cast
    for student in (cast.student, cast.classmate):
        floor.make_cleared(student)
    opening = opened(floor)
    for student in (cast.classmate, cast.student):
        join_waiting(machine=floor.saw_2, student=student, by=student, tap=uuid.uuid4(), at=NOON)
    with queries() as sent:
        assert [row.student.name for row in waiting_now(opening.pk)] == [cast.classmate.name, cast.student.name]
    assert len(sent) == 1
