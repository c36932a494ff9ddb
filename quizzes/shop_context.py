"""What the pages of quizzes show of a student's shop. Quizzes know no machine, so `shopsafe/urls.py` hands this in."""

from collections.abc import Callable
from datetime import datetime
from typing import Protocol

from shopsafe.school.models import Person


class ShopContext(Protocol):
    """The part of a shop that a quiz page shows, for one student at one moment."""

    def banks_of_shop(self, person: Person, at: datetime) -> frozenset[int] | None:
        """Return the banks that belong to the person's own shops, or None for a person without one."""

    def subjects_first(self, student: Person, bank: int, at: datetime) -> list[str]:
        """Return the subjects whose quizzes the machines of a bank ask for before its own."""

    def clearance_lines(self, student: Person, bank: int, at: datetime) -> list[str]:
        """Return sentences: until when the student is cleared on the machines of a bank, and which are tagged out."""


def own_shop_first[T](
    shop: ShopContext, person: Person, at: datetime, rows: list[T], bank_of: Callable[[T], int]
) -> tuple[list[T], list[T]]:
    """Return the rows of the person's own shop, then the others. Without a shop every row counts as own."""
    own = shop.banks_of_shop(person, at) if person.is_student else None
    if own is None:
        return rows, []
    return [row for row in rows if bank_of(row) in own], [row for row in rows if bank_of(row) not in own]
