"""`manage.py hazard_reports`: what was reported in a shop, as JSON, without students' names."""

import json
import uuid
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from machines.reports.hazards.acts import Sighting, clear_report, report_hazard
from tests.factories.machines import NOON, Floor
from tests.factories.shop_in_use import MINUTE


def printed(*arguments: str) -> list[dict[str, object]]:
    answer = StringIO()
    with time_machine.travel(NOON + 5 * MINUTE):
        call_command("hazard_reports", *arguments, stdout=answer)
    return list(json.loads(answer.getvalue())["reports"])


def test_prints_what_waits_and_with_ended_the_rest(floor: Floor) -> None:
    cast, shop = floor.cast, str(floor.cast.shop.pk)
    asked = {"shop": cast.shop, "at": NOON}
    guard = report_hazard(
        seen=Sighting("guard", "Inga saw it"), machine=floor.saw_2, by=cast.student, tap=uuid.uuid4(), **asked
    )
    report_hazard(seen=Sighting("floor"), machine=None, by=cast.teacher, tap=uuid.uuid4(), **asked)
    first, second = printed(shop)
    assert (first["seen"], first["keeps_off"], first["by"]) == ("guard", True, "student")
    assert first["machine"] == floor.saw_2.as_record()
    assert (second["machine"], second["keeps_off"], second["by"]) == (None, False, "teacher")
    clear_report(report=guard, finding="It is on.", by=cast.teacher, at=NOON + MINUTE)
    assert [row["report"] for row in printed(cast.shop.name)] == [second["report"]]
    ended = printed(shop, "--ended")[0]
    assert (ended["keeps_off"], ended["ended_by"]) == (False, cast.teacher.name)
    assert cast.student.name not in json.dumps(ended)
    assert "Inga" not in json.dumps(ended)


def test_asks_for_a_shop_that_is_there(floor: Floor) -> None:
    with pytest.raises(CommandError, match="There is no shop"):
        printed("Room 404")
