"""`manage.py floor SHOP`: the floor as JSON."""

import json
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command

from tests.factories.machines import NOON, Floor
from tests.factories.shop_in_use import MINUTE, opened, running, stopped


def floor_of(shop: str, *more: str) -> dict[str, Any]:
    output = StringIO()
    call_command("floor", shop, *more, stdout=output)
    answer: dict[str, Any] = json.loads(output.getvalue())
    return answer


def test_says_who_is_where_and_machine_time(floor: Floor) -> None:
    cast = floor.cast
    for student in (cast.student, cast.classmate):
        floor.make_cleared(student)
    opened(floor)
    stopped(running(floor, cast.student), at=NOON + 5 * MINUTE)
    running(floor, cast.classmate, at=NOON + 6 * MINUTE)
    with time_machine.travel(NOON + 8 * MINUTE, tick=False):
        answer = floor_of(cast.shop.name, "--hours")
    assert (answer["status"], answer["class"]["id"]) == ("open", cast.section.pk)
    states = {machine["number"]: (machine["state"], machine["student"]) for machine in answer["machines"]}
    assert states == {1: ("free", None), 2: ("in use", cast.classmate.name), 3: ("free", None)}
    assert [(row["student"], row["minutes"]) for row in answer["machine_time"]] == [
        (cast.student.pk, 5),
        (cast.classmate.pk, 2),
    ]
    assert answer["hours"] == [{"machine": floor.saw_2.pk, "hours": 0.12}]


def test_closed_shop_keeps_off(floor: Floor) -> None:
    answer = floor_of(str(floor.cast.shop.pk))
    assert {machine["state"] for machine in answer["machines"]} == {"keep off"}


def test_names_what_is_wrong(floor: Floor) -> None:
    with pytest.raises(CommandError, match="There is no shop"):
        floor_of("Nowhere")
