"""Who gets in where: the shop in use."""

from typing import Any
from uuid import uuid4

from django.utils import timezone

from machines.floor.acts.helpers import name_helper
from machines.floor.acts.runs import assign
from machines.floor.acts.shops import open_shop
from machines.floor.acts.supervising import grant_supervising
from machines.floor.acts.waiting import join_waiting
from tests.cast import Cast
from tests.factories.machines import Floor, make_floor
from tests.factories.shop_in_use import keep_runs
from tests.matrix import CLASSMATE, COLLEAGUE, OFFICE, STUDENT, SUBSTITUTE, TEACHER, TEACHERS, Door, get, post, section

RUNS = (TEACHER, COLLEAGUE)
SEE = (TEACHER, COLLEAGUE, SUBSTITUTE, OFFICE)
PRESS = (TEACHER, COLLEAGUE, SUBSTITUTE)


def shop(cast: Cast) -> dict[str, Any]:
    return {"shop": cast.shop.pk}


def open_floor(cast: Cast) -> Floor:
    """The shop is open, and two students are cleared on the band saw."""
    floor = make_floor(cast)
    keep_runs(cast.shop)
    floor.make_cleared(cast.student)
    floor.make_cleared(cast.classmate)
    open_shop(shop=cast.shop, section=cast.section, by=cast.teacher, tap=uuid4())
    return floor


def machine(cast: Cast) -> dict[str, Any]:
    return {"machine": make_floor(cast).saw_2.pk}


def run(cast: Cast) -> dict[str, Any]:
    """A run of the student's."""
    saw = open_floor(cast).saw_2
    return {"run": assign(machine=saw, student=cast.student, by=cast.teacher, tap=uuid4()).pk}


def helper(cast: Cast) -> dict[str, Any]:
    saw = open_floor(cast).saw_2
    given = assign(machine=saw, student=cast.student, by=cast.teacher, tap=uuid4())
    return {"helper": name_helper(run=given, student=cast.classmate, by=cast.teacher, tap=uuid4()).pk}


def waiting(cast: Cast) -> dict[str, Any]:
    saw = open_floor(cast).saw_2
    return {"waiting": join_waiting(machine=saw, student=cast.student, by=cast.student, tap=uuid4()).pk}


def grant(cast: Cast) -> dict[str, Any]:
    asked = {"section": cast.section, "substitute": cast.substitute, "day": timezone.localdate()}
    return {"grant": grant_supervising(**asked, by=cast.teacher, tap=uuid4()).pk}


ROUTES: dict[str, Door | list[Door]] = {
    "floors": get(*TEACHERS, SUBSTITUTE, OFFICE, gets=(200, 302)),
    "floor": get(*SEE, of=shop),
    "floor-wall": get(*SEE, of=shop),
    "floor-settings": [get(*RUNS, of=shop), post(*RUNS, of=shop, gets=(422,))],
    "floor-plan": [get(*RUNS, of=shop), post(*RUNS, of=shop, gets=(302,))],
    "shop-open": post(*PRESS, of=shop),
    "shop-here": post(*PRESS, of=shop),
    "shop-end-all": post(*PRESS, of=shop),
    "shop-allow": post(*PRESS, of=shop),
    "shop-closing": [get(*PRESS, of=shop, gets=(302,)), post(*PRESS, of=shop, gets=(409,))],
    "run-give": post(*PRESS, of=machine, sends=lambda cast: {"student": cast.student.pk}),
    "run-check": [get(STUDENT, *PRESS, of=run), post(STUDENT, *PRESS, of=run, gets=(422,))],
    "run-end": post(STUDENT, *PRESS, of=run),
    "run-helper": post(*PRESS, of=run),
    "helper-release": post(*PRESS, of=helper),
    "waiting-join": post(STUDENT, CLASSMATE, of=machine),
    "waiting-leave": post(STUDENT, *PRESS, of=waiting),
    "supervising": [get(TEACHER, OFFICE, of=section), post(TEACHER, OFFICE, of=section, gets=(422,))],
    "supervising-end": post(TEACHER, OFFICE, of=grant),
}
