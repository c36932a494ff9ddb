"""`manage.py standings`."""

import json
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from tests.factories.machines import NOON, Floor


def standings(*args: str) -> dict:
    output = StringIO()
    call_command("standings", *args, stdout=output)
    return json.loads(output.getvalue())


def cell(report: dict, student: str, machine: str) -> dict:
    (number,) = [item["id"] for item in report["machines"] if item["name"] == machine]
    (row,) = [item for item in report["students"] if item["name"] == student]
    return next(item for item in row["standings"] if item["machine"] == number)


@time_machine.travel(NOON, tick=False)
def test_prints_every_student_and_machine_with_reasons(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    report = standings(floor.cast.section.name)
    assert (report["class"]["id"], report["at"]) == (floor.cast.section.pk, NOON.isoformat())
    assert [machine["name"] for machine in report["machines"]] == ["Drill press 1", "Band saw 2", "Band saw 3"]
    assert len(report["students"]) == 2
    assert cell(report, floor.cast.student.name, "Band saw 2") == {
        "machine": floor.saw_2.pk,
        "standing": "cleared",
        "reasons": [],
        "ends": {"at": "2027-01-16T06:00:00+00:00", "by": "term"},
    }
    other = cell(report, floor.cast.classmate.name, "Band saw 2")
    assert other["standing"] == "not started"
    assert next(reason["code"] for reason in other["reasons"]) == "agreement.missing"


@pytest.mark.parametrize(
    ("at", "standing"),
    [
        ("2026-10-09T16:59:59Z", "ready for sign-off"),
        ("2026-10-09T17:00:00Z", "cleared"),
        ("2026-10-09T11:59:59", "ready for sign-off"),
        ("2026-10-09 12:00", "cleared"),
        ("2026-10-09", "cleared"),
        ("2026-10-08", "ready for sign-off"),
    ],
)
def test_any_moment_can_be_asked_for(floor: Floor, at: str, standing: str) -> None:
    floor.make_cleared(floor.cast.student)
    report = standings(str(floor.cast.section.pk), "--at", at)
    assert cell(report, floor.cast.student.name, "Band saw 2")["standing"] == standing


@pytest.mark.parametrize("at", ["yesterday", "2026-02-30", "2026-10-09T25:00"])
def test_invalid_date_prints_an_error(floor: Floor, at: str) -> None:
    with pytest.raises(CommandError, match="is not a date or time"):
        standings(str(floor.cast.section.pk), "--at", at)


def test_an_unknown_class_is_said(db: None) -> None:
    with pytest.raises(CommandError, match="There is no class"):
        standings("9 Nowhere")
