"""`manage.py standings`."""

import json
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from tests.factories.machines import NOON, Floor


def standings(*args: str) -> dict:
    out = StringIO()
    call_command("standings", *args, stdout=out)
    return json.loads(out.getvalue())


def cell(found: dict, student: str, machine: str) -> dict:
    (number,) = [one["id"] for one in found["machines"] if one["name"] == machine]
    (row,) = [one for one in found["students"] if one["name"] == student]
    return next(one for one in row["standings"] if one["machine"] == number)


@time_machine.travel(NOON, tick=False)
def test_prints_every_student_and_machine_with_reasons(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    found = standings(floor.cast.section.name)
    assert (found["class"]["id"], found["at"]) == (floor.cast.section.pk, NOON.isoformat())
    assert [machine["name"] for machine in found["machines"]] == ["Drill press 1", "Band saw 2", "Band saw 3"]
    assert len(found["students"]) == 2
    assert cell(found, floor.cast.student.name, "Band saw 2") == {
        "machine": floor.saw_2.pk,
        "standing": "cleared",
        "reasons": [],
        "ends": {"at": "2027-01-16T06:00:00+00:00", "by": "term"},
    }
    other = cell(found, floor.cast.classmate.name, "Band saw 2")
    assert other["standing"] == "not started"
    assert next(reason["code"] for reason in other["reasons"]) == "agreement.missing"


@pytest.mark.parametrize(
    ("at", "standing"),
    [
        ("2026-10-09T16:59:59Z", "ready to show"),
        ("2026-10-09T17:00:00Z", "cleared"),
        ("2026-10-09T11:59:59", "ready to show"),
        ("2026-10-09 12:00", "cleared"),
        ("2026-10-09", "cleared"),
        ("2026-10-08", "ready to show"),
    ],
)
def test_any_moment_can_be_asked_for(floor: Floor, at: str, standing: str) -> None:
    floor.make_cleared(floor.cast.student)
    found = standings(str(floor.cast.section.pk), "--at", at)
    assert cell(found, floor.cast.student.name, "Band saw 2")["standing"] == standing


@pytest.mark.parametrize("at", ["yesterday", "2026-02-30", "2026-10-09T25:00"])
def test_what_is_no_moment_is_said(floor: Floor, at: str) -> None:
    with pytest.raises(CommandError, match="is no moment"):
        standings(str(floor.cast.section.pk), "--at", at)


def test_an_unknown_class_is_said(db: None) -> None:
    with pytest.raises(CommandError, match="There is no class"):
        standings("9 Nowhere")
