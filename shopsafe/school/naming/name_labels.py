"""How students are named beside each other, on paper and on the pages of staff: never two under the same words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopsafe.paper.rules.names import Name, full_names, short_names

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from shopsafe.school.models import Person


def name_of(student: Person) -> Name:
    """The last of the school's number tells two of one name apart; where there is no number, the one that the sign-in
    name ends with, as it is on the slip."""
    added = student.sign_in_name.removeprefix(student.name).strip()
    mark = student.local_id[-4:] or (added if added.isdigit() else "")
    return Name(student.name, student.given_name, student.family_name, mark)


def full_names_of(students: Iterable[Person]) -> dict[int, str]:
    """Student → the name, with a mark on those whom another of them is named like."""
    return _named(full_names, students)


def short_names_of(students: Iterable[Person]) -> dict[int, str]:
    """Student → the first name and as much more as tells them apart."""
    return _named(short_names, students)


def _named(how: Callable[[Sequence[Name]], list[str]], students: Iterable[Person]) -> dict[int, str]:
    each = {student.pk: name_of(student) for student in students}
    return dict(zip(each, how(list(each.values())), strict=True))
