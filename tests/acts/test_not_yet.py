"""A demonstration that was not complete: what is shown again is on record, and the next try starts there."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.models import NotYet
from machines.sign_offs.acts.not_yet import record_not_yet, undo_not_yet
from machines.sign_offs.queries import last_tries, points_of
from shopsafe.school.refusals import Refused
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, POINTS, Floor, signed


def tried(floor: Floor, **more: Any) -> Any:
    asked = {"student": floor.cast.student, "machine": floor.saw_2, "again": [POINTS[1]], "not_shown": [POINTS[2]]}
    return record_not_yet(**{"note": "Slower.", "by": floor.cast.teacher, "tap": uuid4(), "at": NOON} | asked | more)


def test_next_try_starts_at_the_points_to_show_again(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    row = tried(floor)
    assert last_tries([floor.cast.student.pk], floor.saw_3, NOON) == {floor.cast.student.pk: row}
    assert [(number, known) for number, _, known in points_of(floor.saw_2, row)] == [
        (2, "again"),
        (3, "not shown"),
        (1, ""),
    ]
    assert [number for number, _, _ in points_of(floor.saw_2, None)] == [1, 2, 3]
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is Standing.READY
    kind, payload = last_entry()
    assert (kind, payload["again"], payload["note"]) == ("demonstration.not_yet", [POINTS[1]], "Slower.")


def test_a_sign_off_after_it_ends_it(floor: Floor) -> None:
    tried(floor)
    signed(floor.cast.student, floor.saw_3, floor.cast.teacher, NOON + timedelta(minutes=1))
    assert last_tries([floor.cast.student.pk], floor.saw_2, NOON) == {}


def test_sent_again_it_is_one_record(floor: Floor) -> None:
    tap = uuid4()
    assert tried(floor, tap=tap) == tried(floor, tap=tap)
    assert NotYet.objects.count() == 1
    assert code_of(tried, floor, tap=tap, note="Other") == "not-yet.tap-used"


def test_it_is_undone_for_ten_minutes_by_its_teacher(floor: Floor) -> None:
    row = tried(floor)
    assert code_of(undo_not_yet, not_yet=row, by=floor.cast.colleague, at=NOON) == "not-yet.not-yours"
    late = NOON + timedelta(minutes=10)
    assert code_of(undo_not_yet, not_yet=row, by=floor.cast.teacher, at=late) == "not-yet.too-late"
    for _ in range(2):
        undo_not_yet(not_yet=row, by=floor.cast.teacher, at=late - timedelta(seconds=1))
    assert last_entry()[0] == "demonstration.not_yet_undone"
    assert last_tries([floor.cast.student.pk], floor.saw_2, late) == {}


@pytest.mark.parametrize(
    ("change", "code"),
    [({"again": [], "not_shown": []}, "not-yet.no-point"), ({"again": ["Juggles"]}, "not-yet.points-changed")],
)
def test_unknown_point_of_the_demonstration_is_refused(floor: Floor, change: dict[str, Any], code: str) -> None:
    assert code_of(tried, floor, **change) == code


def test_others_are_refused(floor: Floor) -> None:
    for person in floor.cast.not_teachers:
        with pytest.raises(Refused):
            tried(floor, by=person)
    assert not NotYet.objects.exists()
