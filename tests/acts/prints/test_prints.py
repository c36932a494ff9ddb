"""Printing under a code, replacing what was posted before, and taking down."""

import random
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError

from machines.models import Machine, Print
from machines.prints import acts
from machines.prints.sheets.wall import shop_snapshot
from machines.tag_outs.acts import tag_out
from shopsafe.logbook.models import Entry
from shopsafe.paper.codes import read_code
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor
from tests.factories.prints import chart_hung, hung

SIGNS = random.Random(3)
LATER = NOON + timedelta(days=1)


def test_is_recorded_under_a_code_with_whom_it_shows_and_no_name(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    row = hung(floor)
    assert read_code(row.code) == row.code
    kind, payload = last_entry()
    assert (kind, payload["code"], payload["machine"]["name"], payload["by"]["name"]) == (
        "print.made", row.code, "Band saw 2", floor.cast.teacher.name,
    )  # fmt: skip
    assert payload["shows"]["cleared"] == [[floor.cast.student.pk, floor.saw_2.pk]]
    assert floor.cast.student.name not in str(payload)


def test_the_same_sheet_again_is_the_same_print(floor: Floor) -> None:
    first, entries = hung(floor), Entry.objects.count()
    assert hung(floor, at=LATER) == first
    assert (Print.objects.count(), Entry.objects.count()) == (1, entries)


def test_changed_card_replaces_the_posted_card(floor: Floor) -> None:
    first = hung(floor)
    floor.make_cleared(floor.cast.student)
    second = hung(floor, at=LATER)
    first.refresh_from_db()
    assert (first.replaced_at, first.replaced_by) == (LATER, second)
    assert not first.current
    assert second.current
    assert last_entry()[1]["replaces"] == first.code


def test_another_machine_and_another_sheet_hang_beside_it(floor: Floor) -> None:
    for row in (hung(floor), hung(floor, floor.saw_3), chart_hung(floor)):
        row.refresh_from_db()
        assert row.current


def test_a_tag_out_makes_another_card(floor: Floor) -> None:
    first = hung(floor)
    tag_out(machine=floor.saw_2, reason="Cracked", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    assert hung(floor, at=LATER) != first


def test_a_code_in_use_is_not_given_twice(floor: Floor) -> None:
    signs = random.Random(floor.saw_2.pk)
    taken = hung(floor)
    assert acts._free_code(signs.choice) != taken.code


def test_the_database_holds_one_current_print_of_a_target(floor: Floor) -> None:
    row = hung(floor)
    row.pk, row.code = None, "other"
    with pytest.raises(IntegrityError):
        row.save(force_insert=True)


def test_taking_down_ends_it_once(floor: Floor) -> None:
    row = hung(floor)
    taken: dict[str, Any] = {"printed": row, "by": floor.cast.colleague, "at": LATER}
    down = acts.take_down(**taken)
    assert (down.taken_down_at, down.taken_down_by) == (LATER, floor.cast.colleague)
    assert last_entry()[0] == "print.taken_down"
    assert code_of(acts.take_down, **taken) == "print.gone"
    assert hung(floor, at=LATER).code != row.code


def test_a_code_that_is_given_is_not_recorded_yet(floor: Floor) -> None:
    entries = Entry.objects.count()
    (coded,) = given(floor)
    assert read_code(coded.row.code) == coded.row.code
    assert coded.is_new
    assert (Print.objects.count(), Entry.objects.count()) == (0, entries)
    assert acts.record_prints([coded], by=floor.cast.teacher, at=NOON) == [Print.objects.get(code=coded.row.code)]


def test_two_sheets_given_codes_together_have_two(floor: Floor) -> None:
    same = random.Random(1)
    first = same.getstate()

    def choose(signs: str) -> str:
        """Gives the first code twice."""
        if len(asked) == 5:  # the sixth sign is computed
            same.setstate(first)
        asked.append(signs)
        return same.choice(signs)

    asked: list[str] = []
    codes = {coded_print.row.code for coded_print in given(floor, floor.saw_2, floor.saw_3, choose=choose)}
    assert len(codes) == 2
    assert len(asked) == 15


def test_print_is_refused_when_a_newer_print_was_recorded(floor: Floor) -> None:
    waiting = given(floor, floor.saw_3, floor.saw_2)
    first = hung(floor, at=LATER)
    entries = Entry.objects.count()
    record = {"by": floor.cast.teacher, "at": LATER}
    assert code_of(acts.record_prints, made=waiting, **record) == "print.race"
    assert ([*Print.objects.all()], Entry.objects.count()) == ([first], entries), "all or none"
    floor.make_cleared(floor.cast.student)
    old = given(floor)
    acts.take_down(printed=first, by=floor.cast.teacher, at=LATER)
    assert code_of(acts.record_prints, made=old, **record) == "print.race"


def test_print_is_refused_when_the_posted_sheet_was_taken_down(floor: Floor) -> None:
    row = hung(floor)
    again = given(floor)
    assert [coded_print.row for coded_print in again] == [row]
    acts.take_down(printed=row, by=floor.cast.teacher, at=LATER)
    assert code_of(acts.record_prints, made=again, by=floor.cast.teacher, at=LATER) == "print.race"


def given(floor: Floor, *machines: Machine, choose: Any = SIGNS.choice) -> list[acts.CodedPrint]:
    """The cards of machines for the cast's class under codes that are not recorded."""
    snapshot, section = shop_snapshot(floor.cast.shop, NOON), floor.cast.section
    requests = [
        acts.PrintRequest(
            "wall card", snapshot.shop, "letter", snapshot.card(machine, [section])[1], [section], machine
        )
        for machine in machines or (floor.saw_2,)
    ]
    return acts.give_codes(requests, by=floor.cast.teacher, at=NOON, choose=choose)


def test_no_one_else_prints_or_takes_down(floor: Floor) -> None:
    row = hung(floor)
    for person in floor.cast.not_teachers:
        if person == floor.cast.office:
            continue
        assert code_of(hung, floor, floor.saw_3, by=person) == "access.not-yours", person
        assert code_of(acts.take_down, printed=row, by=person, at=NOON) == "access.not-yours", person
    assert Print.objects.count() == 1
