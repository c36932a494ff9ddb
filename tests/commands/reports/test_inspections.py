"""`manage.py inspections`: what is due in a shop, as JSON."""

import json
import uuid
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from machines.reports.hazards.acts import Sighting, report_hazard
from machines.reports.inspections.acts.lists import start_inspections
from tests.factories.machines import NOON, Floor
from tests.factories.reports.inspections import inspected


def run(*words: str) -> dict:  # type: ignore[type-arg]
    output = StringIO()
    call_command("inspections", *words, stdout=output)
    return json.loads(output.getvalue())


def test_prints_what_is_due_and_what_is_out_of_use(floor: Floor) -> None:
    shop, teacher = floor.cast.shop, floor.cast.teacher
    start_inspections(shop=shop, by=teacher, at=NOON - timedelta(days=3))
    inspected(floor.saw_2, teacher, at=NOON)
    asked = {"shop": shop, "machine": floor.saw_3, "by": floor.cast.student, "tap": uuid.uuid4(), "at": NOON}
    report_hazard(seen=Sighting("guard", "Left one"), **asked)
    answer = run(str(shop.pk), "--at", "2026-10-12T12:30")
    saw = next(row for row in answer["inspections"] if (row["machine"], row["list"]) == ("Band saw 2", "weekly"))
    assert saw == {
        "machine": "Band saw 2",
        "list": "weekly",
        "state": "not due",
        "last": "2026-10-12",
        "first_day": "2026-10-19",
        "due_by": "2026-10-23",
    }
    out = {"machine": "Band saw 3", "state": "keep off", "reason": "A guard or cover is missing, loose or open."}
    assert answer["out_of_use"] == [out | {"since": "2026-10-12T17:00:00+00:00"}]
    assert floor.cast.student.name not in json.dumps(answer)
    assert run(shop.name)["shop"]["id"] == shop.pk


@pytest.mark.parametrize("words", [("Attic",), ("1", "--at", "soon")])
def test_says_what_it_could_not_read(floor: Floor, words: tuple[str, ...]) -> None:
    words = (str(floor.cast.shop.pk), *words[1:]) if len(words) > 1 else words
    with pytest.raises(CommandError, match=r"There is no shop “Attic”|“soon” is not a date or time"):
        run(*words)
