"""Who gets in where: machines, registers, the floor, and the logbook."""

from typing import Any

from tests.cast import Cast
from tests.factories.logbook import note
from tests.matrix import COLLEAGUE, OFFICE, TEACHER, TEACHERS, Door, get, post, student


def entry(cast: Cast) -> dict[str, Any]:
    """About a student of the class: the teachers of the class and of its shop may read it, and the office."""
    return {"seq": note(cast.student).seq}


REACH = (TEACHER, COLLEAGUE, OFFICE)

ROUTES: dict[str, Door | list[Door]] = {
    "logbook": get(*TEACHERS, OFFICE),
    "logbook-verify": post(*TEACHERS, OFFICE),
    "logbook-entry": get(*REACH, of=entry),
    "evidence": [
        get(TEACHER, COLLEAGUE, OFFICE, of=student),
        post(TEACHER, COLLEAGUE, OFFICE, of=student, gets=(422,)),
    ],
}
