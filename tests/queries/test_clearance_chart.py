"""A clearance chart as it is loaded: what its digest covers, who stands out in it, how it is laid out and saved."""

from dataclasses import replace
from datetime import datetime, timedelta
from uuid import uuid4

import pytest

from machines.clearance.facts import Standing, StatusOnly
from machines.holds.acts import place_hold
from machines.models import Machine
from machines.register.queries import Narrowing, Register, RegisterCell, RegisterRow, register_of
from machines.tag_outs.acts import tag_out
from shopsafe.school.people.acts.moves import end_enrollment
from tests.cast import Cast
from tests.factories.machines import NOON, Floor
from tests.factories.reports.inspections import returned

LATER = NOON + timedelta(minutes=5)


def chart(floor: Floor, show: Narrowing | None = None) -> Register:
    return register_of(floor.cast.section, LATER, show)


def test_digest_is_the_same_while_nothing_changes(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    assert chart(floor).digest == chart(floor).digest
    assert len(chart(floor).digest) == 16


def test_digest_changes_with_a_tag_out_and_is_as_before_after_the_return(floor: Floor) -> None:
    """Nothing else on the chart changes with a tag-out: a page that did not see it would show a green column."""
    teacher, before = floor.cast.teacher, chart(floor)
    out = tag_out(machine=floor.saw_2, reason="Blade cracked", by=teacher, tap=uuid4(), at=NOON)
    after = chart(floor)
    assert [[cell.answer for cell in row.cells] for row in after.rows] == [
        [cell.answer for cell in row.cells] for row in before.rows
    ]
    assert after.digest != before.digest
    returned(out, teacher, NOON + timedelta(minutes=1))
    assert chart(floor).digest == before.digest


def test_digest_says_which_machine_is_tagged_out(floor: Floor) -> None:
    teacher, digests = floor.cast.teacher, set()
    for machine in (floor.saw_2, floor.saw_3):
        out = tag_out(machine=machine, reason="Blade cracked", by=teacher, tap=uuid4(), at=NOON)
        digests.add(chart(floor).digest)
        returned(out, teacher, NOON)
    assert len(digests) == 2


def test_digest_changes_with_a_status(floor: Floor) -> None:
    before = chart(floor).digest
    floor.make_cleared(floor.cast.student)
    cleared = chart(floor).digest
    held = {"machines": None, "reason": "horseplay", "words": "Threw a block", "lifts": "talk"}
    place_hold(student=floor.cast.student, by=floor.cast.teacher, tap=uuid4(), at=NOON, **held)
    assert len({before, cleared, chart(floor).digest}) == 3


def test_digest_changes_with_the_name_of_a_machine(floor: Floor) -> None:
    before = chart(floor).digest
    Machine.objects.filter(pk=floor.saw_2.pk).update(name="Big blue")
    assert chart(floor).digest != before


def test_digest_changes_with_a_last_day(floor: Floor, cast: Cast) -> None:
    before = chart(floor).digest
    end_enrollment(section=cast.section, student=cast.student, by=cast.teacher, at=NOON)
    assert chart(floor).digest != before


def answer_on_hold(cell: RegisterCell) -> StatusOnly:
    return cell.answer._replace(standing=Standing.ON_HOLD)


def test_digest_depends_on_every_part_of_the_chart(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    whole = chart(floor)
    row, *rest = whole.rows
    cell, *cells = row.cells
    others = [
        replace(whole, rows=rest),
        replace(whole, rows=[replace(row, cells=[replace(cell, answer=answer_on_hold(cell)), *cells]), *rest]),
        replace(whole, rows=[replace(row, name="Another"), *rest]),
        replace(whole, rows=[replace(row, student=rest[0].student), *rest]),
        replace(whole, rows=[replace(row, cells=[replace(cell, stands_out=True), *cells]), *rest]),
        replace(whole, counts=whole.counts | {"ready": 7}),
        replace(whole, leaving=["Another"]),
    ]
    assert len({whole.digest, *(other.digest for other in others)}) == 1 + len(others)


def test_chart_counts_and_narrows_by_what_stands_out(floor: Floor) -> None:
    cast = floor.cast
    floor.make_ready(cast.student)
    held = {"machines": [floor.saw_3], "reason": "horseplay", "words": "Threw a block", "lifts": "talk"}
    place_hold(student=cast.classmate, by=cast.teacher, tap=uuid4(), at=NOON, **held)
    assert chart(floor).counts == {"ready": 1, "held": 1, "lapsing": 0}
    assert [row.student for row in chart(floor, Narrowing.READY).rows] == [cast.student]
    assert [row.student for row in chart(floor, Narrowing.HELD).rows] == [cast.classmate]
    assert [[cell.stands_out for cell in row.cells] for row in chart(floor, Narrowing.HELD).rows] == [
        [False, False, True]
    ]
    assert chart(floor, Narrowing.LAPSING).rows == []
    assert len(chart(floor).rows) == 2


def test_chart_counts_clearances_that_expire_in_two_weeks(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    ends = floor.cast.section.term.last_day - timedelta(days=10)
    at = datetime.combine(ends, NOON.timetz())
    assert register_of(floor.cast.section, at).counts["lapsing"] == 1
    assert [row.student for row in register_of(floor.cast.section, at, "lapsing").rows] == [floor.cast.student]


def test_spreadsheet_has_a_row_for_each_student_and_says_what_is_tagged_out(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    tag_out(machine=floor.saw_2, reason="Blade cracked", by=floor.cast.teacher, tap=uuid4(), at=NOON)
    head, *rows = chart(floor).as_rows()
    assert head[-3:] == ["Drill press 1", "Band saw 2 (tagged out)", "Band saw 3"]
    of_student = next(row for row in rows if row[0] == floor.cast.student.name)
    assert of_student[-3:] == ["not started", "cleared", "ready for sign-off"]
    assert len(rows) == 2


def of_size(whole: Register, students: int, machines: int) -> Register:
    """A chart of so many rows and columns."""
    row, machine = whole.rows[0], whole.matrix.machines[0]
    rows: list[RegisterRow] = [row] * students
    return replace(whole, rows=rows, matrix=replace(whole.matrix, machines=[machine] * machines))


@pytest.mark.parametrize(
    ("students", "machines", "halves", "density"),
    [
        (12, 18, [12], "few "),
        (13, 18, [13], ""),
        (12, 19, [12], "few tight"),
        (20, 19, [20], "tight"),
        (21, 18, [11, 10], "folded tight"),
        (40, 18, [20, 20], "folded tight"),
        (21, 19, [21], "tight"),
    ],
)
def test_long_chart_is_folded_as_far_as_its_columns_leave_room(
    floor: Floor, students: int, machines: int, halves: list[int], density: str
) -> None:
    sized = of_size(chart(floor), students, machines)
    assert [len(half) for half in sized.halves] == halves
    assert sized.density == density
