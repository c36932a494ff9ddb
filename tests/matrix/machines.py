"""Who gets in where: machines, registers, the floor, and the logbook."""

from typing import Any

from tests.cast import Cast
from tests.factories.logbook import note
from tests.factories.machines import make_floor
from tests.factories.prints import hung
from tests.matrix import COLLEAGUE, EVERYONE, OFFICE, TEACHER, TEACHERS, Door, get, post, student


def entry(cast: Cast) -> dict[str, Any]:
    """About a student of the class: the teachers of the class and of its shop may read it, and the office."""
    return {"seq": note(cast.student).seq}


REACH = (TEACHER, COLLEAGUE, OFFICE)


def shop(cast: Cast) -> dict[str, Any]:
    return {"shop": cast.shop.pk}


def hanging(cast: Cast) -> dict[str, Any]:
    """A card on the wall of the cast's shop."""
    return {"shop": cast.shop.pk, "code": hung(make_floor(cast)).code}


def code(cast: Cast) -> dict[str, Any]:
    return {"code": hanging(cast)["code"]}


ROUTES: dict[str, Door | list[Door]] = {
    "prints": get(*TEACHERS, OFFICE),
    "print-wall-card": post(TEACHER, COLLEAGUE, OFFICE, of=shop),
    "print-wall-chart": post(TEACHER, COLLEAGUE, OFFICE, of=shop),
    "print-take-down": post(TEACHER, COLLEAGUE, OFFICE, of=hanging),
    "print-check": get(*EVERYONE, of=code),
    "logbook": get(*TEACHERS, OFFICE),
    "logbook-verify": post(*TEACHERS, OFFICE),
    "logbook-entry": get(*REACH, of=entry),
    "evidence": [
        get(TEACHER, COLLEAGUE, OFFICE, of=student),
        post(TEACHER, COLLEAGUE, OFFICE, of=student, gets=(422,)),
    ],
}
