"""What a shop asks around its quizzes. Quizzes know no machine: the app that does says it here, when it starts."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from shopsafe.school.models import Person


@dataclass(frozen=True)
class ShopContext:
    """`here`: (student, at) → the banks that belong to the student's own shop; None where nobody can say.
    `first`: (student, bank, at) → the subjects whose quizzes the machines of a bank wait for before its own.
    `cleared`: (student, bank, at) → sentences: until when the student is cleared on the machines of a bank, and which
    of them nobody may use."""

    here: Callable[[Person, datetime], frozenset[int] | None]
    first: Callable[[Person, int, datetime], list[str]]
    cleared: Callable[[Person, int, datetime], list[str]]


AROUND: list[ShopContext] = []


def register(around: ShopContext) -> None:
    AROUND[:] = [around]


def here(person: Person, at: datetime) -> frozenset[int] | None:
    return AROUND[0].here(person, at) if AROUND and person.is_student else None


def first(student: Person, bank: int, at: datetime) -> list[str]:
    return AROUND[0].first(student, bank, at) if AROUND else []


def cleared(student: Person, bank: int, at: datetime) -> list[str]:
    return AROUND[0].cleared(student, bank, at) if AROUND else []


def own_first[T](person: Person, at: datetime, rows: list[T], bank: Callable[[T], int]) -> tuple[list[T], list[T]]:
    """The rows of the person's own shop, then the others; all are own where nobody can say."""
    own = here(person, at)
    if own is None:
        return rows, []
    return [row for row in rows if bank(row) in own], [row for row in rows if bank(row) not in own]
