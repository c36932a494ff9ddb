"""Who gets in where: one line a route, kept beside the app the route belongs to.

    "register": get(TEACHER, COLLEAGUE, SUBSTITUTE, OFFICE, of=section)

says that these open the page, that anyone else signed in gets a 404, and that a stranger is asked to sign in.
`of` gives the parts of the address, made from the cast. A route with two methods has a list: `[get(...), post(...)]`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from tests.cast import Cast

ANONYMOUS = "anonymous"
STUDENT, CLASSMATE, STRANGER_STUDENT = "student", "classmate", "stranger_student"
TEACHER, COLLEAGUE, OTHER_TEACHER = "teacher", "colleague", "other_teacher"
STRANGER_TEACHER, SUBSTITUTE, OFFICE = "stranger_teacher", "substitute", "office"

# For pages that name no one and nothing in their address, so that each sees what is theirs.
STUDENTS = (STUDENT, CLASSMATE, STRANGER_STUDENT)
TEACHERS = (TEACHER, COLLEAGUE, OTHER_TEACHER, STRANGER_TEACHER)
SIGNED_IN = (*STUDENTS, *TEACHERS, SUBSTITUTE, OFFICE)
EVERYONE = (ANONYMOUS, *SIGNED_IN)

DONE_OR_TOLD = (302, 409, 422)

type Parts = Callable[[Cast], dict[str, Any]]


@dataclass(frozen=True)
class Door:
    """One method of one route."""

    method: str
    opens_for: tuple[str, ...]
    of: Parts
    sends: Parts
    gets: frozenset[int]  # what those who get in may be answered
    shut: frozenset[int]  # what the others are answered


def nothing(cast: Cast) -> dict[str, Any]:
    return {}


def bare_form(cast: Cast) -> dict[str, Any]:
    """A form sent with nothing filled in still carries its token, as a browser's does."""
    return {"csrfmiddlewaretoken": "unread in tests"}


def section(cast: Cast) -> dict[str, Any]:
    return {"section": cast.section.pk}


def student(cast: Cast) -> dict[str, Any]:
    return {"student": cast.student.pk}


def get(*opens_for: str, of: Parts = nothing, sends: Parts = nothing, gets: tuple[int, ...] = (200,)) -> Door:
    """A page. `sends` is its query."""
    return Door("get", opens_for, of, sends, frozenset(gets), frozenset({404}))


def post(
    *opens_for: str, of: Parts = nothing, sends: Parts = bare_form, gets: tuple[int, ...] = (302, 409, 422)
) -> Door:
    """A deed. With nothing sent, those who may do it read what is missing; who they are was asked first."""
    return Door("post", opens_for, of, sends, frozenset(gets), frozenset({403, 404}))
