"""Who gets in where: people and classes."""

from datetime import date
from typing import Any

from shopsafe.school.models import DayOff
from tests.cast import Cast
from tests.matrix import COLLEAGUE, EVERYONE, OFFICE, SIGNED_IN, SUBSTITUTE, TEACHER, TEACHERS, Door, get, post, section


def day_off(cast: Cast) -> dict[str, Any]:
    row = DayOff.objects.create(school=cast.school, day=date(2026, 11, 26))
    return section(cast) | {"day_off": row.pk}


def one_of_class(cast: Cast) -> dict[str, Any]:
    return {"section": cast.section.pk, "student": cast.student.pk}


def document(cast: Cast) -> dict[str, Any]:
    return {**one_of_class(cast), "kind": "agreement"}


def term(cast: Cast) -> dict[str, Any]:
    return {"term": cast.section.term_id}


def shop(cast: Cast) -> dict[str, Any]:
    return {"shop": cast.shop.pk}


def teacher(cast: Cast) -> dict[str, Any]:
    return {"person": cast.teacher.pk}


ADDED_BY_OFFICE: list[Door] = [get(OFFICE), post(OFFICE, gets=(422,))]

ROUTES: dict[str, Door | list[Door]] = {
    "home": get(*SIGNED_IN, gets=(302,)),
    "sign-in": [get(*EVERYONE), post(*EVERYONE, gets=(422,))],
    "stay": post(*SIGNED_IN, gets=(204,)),
    "sign-out": post(*EVERYONE, gets=(302,)),
    "password-change": [get(*TEACHERS, SUBSTITUTE, OFFICE), post(*TEACHERS, SUBSTITUTE, OFFICE, gets=(422,))],
    "look": [get(*EVERYONE), post(*EVERYONE, gets=(302, 422))],
    "people": get(*TEACHERS, OFFICE),
    "here-today": [
        get(TEACHER, COLLEAGUE, SUBSTITUTE, of=section),
        post(TEACHER, COLLEAGUE, SUBSTITUTE, of=section, gets=(409, 302)),
    ],
    "class-people": get(TEACHER, COLLEAGUE, OFFICE, of=section),
    "class-timetable": [get(TEACHER, OFFICE, of=section), post(TEACHER, OFFICE, of=section, gets=(422,))],
    "day-cycle": post(TEACHER, OFFICE, of=section, gets=(422,)),
    "day-off-add": post(TEACHER, OFFICE, of=section, gets=(422,)),
    "day-off-remove": post(TEACHER, OFFICE, of=day_off, gets=(302,)),
    "roster-import": [get(TEACHER, OFFICE, of=section), post(TEACHER, OFFICE, of=section, gets=(422,))],
    "student-add": post(TEACHER, OFFICE, of=section, gets=(422,)),
    "documents-record": post(TEACHER, OFFICE, of=section, gets=(422,)),
    "slips-issue": post(TEACHER, OFFICE, of=section, gets=(422,)),
    "class-let-in": post(TEACHER, COLLEAGUE, OFFICE, of=section, gets=(409,)),
    "student-let-in": post(TEACHER, COLLEAGUE, OFFICE, of=one_of_class, gets=(409,)),
    "document-withdraw": [
        get(TEACHER, OFFICE, of=document),
        post(TEACHER, OFFICE, of=document, gets=(422,)),
    ],
    "number-set": post(TEACHER, OFFICE, of=one_of_class, gets=(422,)),
    "name-correct": [get(TEACHER, OFFICE, of=one_of_class), post(TEACHER, OFFICE, of=one_of_class, gets=(422,))],
    "class-student": get(TEACHER, OFFICE, of=one_of_class),
    "enrollment-end": post(TEACHER, OFFICE, of=one_of_class, gets=(422,)),
    "enrollment-keep": post(TEACHER, OFFICE, of=one_of_class, gets=(409,)),
    "student-move": post(TEACHER, OFFICE, of=one_of_class, gets=(422,)),
    "office": get(OFFICE),
    "idle-minutes": ADDED_BY_OFFICE,
    "conventions": ADDED_BY_OFFICE,
    "term-add": ADDED_BY_OFFICE,
    "term-change": [get(OFFICE, of=term), post(OFFICE, of=term, gets=(422,))],
    "shop-add": ADDED_BY_OFFICE,
    "shop-teachers": [get(OFFICE, of=shop), post(OFFICE, of=shop, gets=(409,))],
    "shop-rename": [get(OFFICE, of=shop), post(OFFICE, of=shop, gets=(422,))],
    "class-add": [get(*TEACHERS, OFFICE), post(*TEACHERS, OFFICE, gets=(422,))],
    "staff-add": ADDED_BY_OFFICE,
    "staff-password": [get(OFFICE, of=teacher), post(OFFICE, of=teacher, gets=(422,))],
    "staff-end": [get(OFFICE, of=teacher), post(OFFICE, of=teacher, gets=(302,))],
    "staff-let-in": post(OFFICE, of=teacher, gets=(409,)),
    "class-rename": [get(OFFICE, of=section), post(OFFICE, of=section, gets=(422,))],
    "class-teachers": [get(OFFICE, of=section), post(OFFICE, of=section, gets=(302,))],
}
