"""What wall cards and charts say, and what is recorded of them: whom they let through to a machine."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from machines.models import Machine
from machines.prints.rules.posted import SheetContents
from machines.prints.sheets.handouts import substitute_sheet
from machines.prints.sheets.wall import ShopSnapshot, shop_snapshot
from machines.tag_outs.acts import return_to_service, tag_out
from shopsafe.paper.rules.sheets import TagOutNote, WallCard
from shopsafe.school.models import Person
from tests.factories.machines import NOON, Floor
from tests.factories.prints import hung

LATER = NOON + timedelta(minutes=5)


def snapshot(floor: Floor) -> ShopSnapshot:
    return shop_snapshot(floor.cast.shop, LATER)


def card(floor: Floor, machine: Machine | None = None) -> tuple[WallCard, SheetContents]:
    return snapshot(floor).card(machine or floor.saw_2, [floor.cast.section])


@pytest.fixture
def cleared(floor: Floor) -> Person:
    floor.make_cleared(floor.cast.student)
    return floor.cast.student


def out(floor: Floor, machine: Machine | None = None) -> None:
    tag_out(machine=machine or floor.saw_2, reason="Blade cracked", by=floor.cast.teacher, tap=uuid4(), at=NOON)


def test_card_and_its_record_name_those_who_are_cleared(floor: Floor, cleared: Person) -> None:
    sheet, contents = card(floor)
    assert len(sheet.names) == 1
    assert contents.cleared == {(cleared.pk, floor.saw_2.pk)}
    assert contents.out is None
    assert sheet.tagged_out is None


def test_card_of_a_tagged_out_machine_names_no_one_and_nor_does_its_record(floor: Floor, cleared: Person) -> None:
    out(floor)
    sheet, contents = card(floor)
    assert sheet.names == ()
    assert contents.cleared == frozenset()
    assert contents.as_data()["cleared"] == []
    assert contents.out == snapshot(floor).out[floor.saw_2.pk].pk
    assert sheet.tagged_out == TagOutNote("Blade cracked", date(2026, 10, 12), floor.cast.teacher.name)
    assert (sheet.valid_until, contents.valid_until) == (None, None)


def test_recorded_print_of_a_tagged_out_machine_names_no_one(floor: Floor, cleared: Person) -> None:
    out(floor)
    assert hung(floor, at=LATER).shows["cleared"] == []


def test_card_of_another_machine_keeps_its_names(floor: Floor, cleared: Person) -> None:
    out(floor, floor.saw_3)
    sheet, contents = card(floor)
    assert len(sheet.names) == len(contents.cleared) == 1


def test_card_names_people_again_after_the_return(floor: Floor, cleared: Person) -> None:
    out(floor)
    standing = snapshot(floor).out[floor.saw_2.pk]
    return_to_service(tag_out=standing, inspection="New blade", by=floor.cast.teacher, at=NOON + timedelta(minutes=1))
    assert card(floor)[1].cleared == {(cleared.pk, floor.saw_2.pk)}


def test_card_names_no_one_of_another_class(floor: Floor, cleared: Person) -> None:
    everyone, contents = snapshot(floor).card(floor.saw_2)
    assert (len(everyone.names), contents.cleared) == (1, {(cleared.pk, floor.saw_2.pk)})
    sections = [
        section for section in snapshot(floor).sections if cleared.pk not in snapshot(floor).members[section.pk]
    ]
    for section in sections:
        assert snapshot(floor).card(floor.saw_2, [section])[1].cleared == frozenset()


def test_chart_keeps_who_has_learned_a_tagged_out_machine(floor: Floor, cleared: Person) -> None:
    out(floor)
    chart, contents = snapshot(floor).chart(floor.cast.section)
    column = [machine.pk for machine in snapshot(floor).matrix.machines].index(floor.saw_2.pk)
    assert [column in row.cleared for row in chart.rows].count(True) == 1
    assert contents.cleared == {(cleared.pk, floor.saw_2.pk)}
    assert contents.out is None


def test_substitute_sheet_names_no_one_at_a_tagged_out_machine(floor: Floor, cleared: Person) -> None:
    before = substitute_sheet(snapshot(floor), floor.cast.section)
    out(floor)
    after = substitute_sheet(snapshot(floor), floor.cast.section)
    column = [machine.pk for machine in snapshot(floor).matrix.machines].index(floor.saw_2.pk)
    assert (len(before.machines[column].names), before.machines[column].stays_off) == (1, "")
    assert (after.machines[column].names, after.machines[column].stays_off) == ((), "Tagged out: Blade cracked")
