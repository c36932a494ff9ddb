"""What is done for students of a class: sign-in slips, and unlocking a name."""

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.hashers import make_password

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, allow_with, section_for
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock, lock_rows, share_school
from shopsafe.school.models import Person, Section
from shopsafe.school.people.chosen import chosen_of_class
from shopsafe.school.people.queries import students_of
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.codes.tries import forget_wrong_codes
from shopsafe.school.signing_in.queries import locked_names, name_locks
from shopsafe.school.signing_in.rules.slips import new_code
from shopsafe.school.signing_in.sessions.lifetime import end_sessions


@dataclass(frozen=True)
class IssuedSlip:
    """A student and the code that only this slip shows: what is stored is its hash."""

    student: Person
    code: str


def issue_slips(
    *,
    section: Section,
    students: Sequence[Person],
    by: Person,
    at: datetime | None = None,
    draw: Callable[[list[IssuedSlip]], object] = list,
) -> list[IssuedSlip]:
    """New codes for these students of the class, in reading order. Their old codes stop working, and locks are lifted.

    `draw` makes the sheet before anything is stored: where it fails, the old codes work on.
    Refused: access.not-yours, slips.no one.
    """
    allow(by, "change a class", section=section)
    codes = {student.pk: new_code(secrets.choice) for student in students}
    draw([IssuedSlip(student, codes[student.pk]) for student in students])
    # Hashing is slow on purpose: done before the transaction, so that no one waits for the database in the meantime.
    hashes = {pk: make_password(code) for pk, code in codes.items()}
    return [IssuedSlip(student, codes[student.pk]) for student in _store_codes(section, hashes, by, at)]


@act
def _store_codes(section: Section, hashes: dict[int, str], by: Person, at: datetime | None) -> list[Person]:
    allow(by, "change a class", section=section)
    students = chosen_of_class(section, list(hashes), "slips.nobody", _("Select the students who need a slip."))
    at = act_moment(section.school_id, at)
    for student in students:
        student.password = hashes[student.pk]
        student.save(update_fields=["password"])
        forget_wrong_codes(student)
        end_sessions(student)
        _record("slip.issued", student, section, by, at)
    return students


@act
def let_in(*, student: Person, by: Person, at: datetime | None = None) -> None:
    """A student locked after wrong codes may try again, on any device. Refused: access.not-yours, let-in.not-locked."""
    allow_with(by, "let a student in", student)
    lock(student)
    at = act_moment(student.school_id, at)
    if not name_locks([student], at):
        raise Refused("let-in.not-locked", _("{student} is not locked.", student=student.name))
    forget_wrong_codes(student)
    _record("student.let_in", student, None, by, at)


@act
def let_class_in(*, section: Section, by: Person, at: datetime | None = None) -> list[Person]:
    """Every locked student of the class may try again: one entry each.

    Refused: access.not-yours, let-in.not-locked. A class out of reach: 404.
    """
    allow(by, "let a student in")
    section_for(by, section.pk)
    share_school(section.school_id)
    students = students_of(section)
    lock_rows(*students)
    at = act_moment(section.school_id, at)
    unlocked = [name.student for name in locked_names(students, name_locks(students, at))]
    if not unlocked:
        raise Refused("let-in.not-locked", _("No student of this class is locked."))
    for student in unlocked:
        forget_wrong_codes(student)
        _record("student.let_in", student, section, by, at)
    return unlocked


def _record(kind: str, student: Person, section: Section | None, by: Person, at: datetime, **more: object) -> None:
    place = {"section": {"id": section.pk, "name": section.name}} if section else {}
    payload = {"by": by.as_record(), "student": student.as_record(), **place, **more}
    append(kind=kind, school=student.school_id, at=at, payload=payload)
