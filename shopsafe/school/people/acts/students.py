"""What is done for students of a class: slips, safety agreements, letting in, and leaving."""

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.hashers import make_password

from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, allow_with, section_for
from shopsafe.school.calendar import local_day, school_year
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock, lock_rows, locked, share_school
from shopsafe.school.models import Enrollment, Person, SafetyAgreement, Section
from shopsafe.school.people.queries import agreements_of, students_among, students_of
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.queries import locked_names, name_locks
from shopsafe.school.signing_in.rules.slips import new_code
from shopsafe.school.signing_in.sessions import end_sessions
from shopsafe.school.signing_in.tries import forget_wrong_codes

# Schools hand the form out before the year begins.
EARLY = timedelta(days=100)


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
    Refused: access.not-yours, slips.nobody.
    """
    allow(by, "change a class", section=section)
    codes = {student.pk: new_code(secrets.choice) for student in students}
    draw([IssuedSlip(student, codes[student.pk]) for student in students])
    # Hashing is slow on purpose: done before the transaction, so that nobody waits for the database meanwhile.
    hashes = {pk: make_password(code) for pk, code in codes.items()}
    return [IssuedSlip(student, codes[student.pk]) for student in _store_codes(section, hashes, by, at)]


@act
def _store_codes(section: Section, hashes: dict[int, str], by: Person, at: datetime | None) -> list[Person]:
    allow(by, "change a class", section=section)
    students = _of_class(section, list(hashes), "slips.nobody", "Tick the students who need a slip.")
    at = act_moment(section.school_id, at)
    for student in students:
        student.password = hashes[student.pk]
        student.save(update_fields=["password"])
        forget_wrong_codes(student)
        end_sessions(student)
        _record("slip.issued", student, section, by, at)
    return students


@act
def record_agreement(
    *, section: Section, students: Sequence[Person], signed_on: date, by: Person, at: datetime | None = None
) -> list[Person]:
    """The safety agreement of this school year for these students of the class; who has one is left as they are.

    Returns those for whom it is new. Refused: access.not-yours, agreement.nobody, agreement.in-future,
    agreement.too-old, agreement.recorded-already.
    """
    allow(by, "change a class", section=section)
    class_students = _of_class(
        section,
        [chosen_student.pk for chosen_student in students],
        "agreement.nobody",
        "Tick the students who brought it.",
    )
    at = act_moment(section.school_id, at)
    year = _year_of(signed_on, section, at)
    having = set(agreements_of(class_students, year).values_list("student", flat=True))
    new = [student for student in class_students if student.pk not in having]
    if not new:
        raise Refused("agreement.recorded-already", "The agreement is recorded already for all who are ticked.")
    for student in new:
        SafetyAgreement.objects.create(
            school_id=section.school_id, student=student, year=year, signed_on=signed_on, recorded_by=by, recorded_at=at
        )
        _record("agreement.recorded", student, section, by, at, year=year, signed_on=signed_on)
    return new


@act
def take_back_agreement(
    *, section: Section, student: Person, reason: str, by: Person, at: datetime | None = None
) -> SafetyAgreement:
    """This school year's agreement of a student counts no more: it was recorded for the wrong one, say. It stays on
    record with the reason, and the right form may be recorded after it.

    Refused: access.not-yours, agreement.none (409), agreement.no-reason (422).
    """
    allow(by, "change a class", section=section)
    lock(student)
    at = act_moment(section.school_id, at)
    enrolled_students = students_among(section, [student.pk])
    year = school_year(local_day(at, section.school.time_zone), section.school.year_first_month)
    agreement = agreements_of(enrolled_students, year).first()
    if agreement is None:
        raise Refused("agreement.none", f"No agreement of {student.name} is recorded for this school year.")
    if not reason.strip():
        raise Refused("agreement.no-reason", "Say why the agreement is taken back.", 422)
    agreement.taken_back_at, agreement.taken_back_by, agreement.taken_back_reason = at, by, reason.strip()
    agreement.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
    signed_on = agreement.signed_on
    _record("agreement.taken_back", student, section, by, at, year=year, signed_on=signed_on, reason=reason.strip())
    return agreement


def _year_of(signed_on: date, section: Section, at: datetime) -> int:
    """The school year that is running; the form must be signed by today, and not long before the year began."""
    first_month, today = section.school.year_first_month, local_day(at, section.school.time_zone)
    year = school_year(today, first_month)
    if signed_on > today:
        raise Refused("agreement.in-future", "The day it was signed has not come yet.", 422)
    if signed_on < date(year, first_month, 1) - EARLY:
        raise Refused("agreement.too-old", "It was signed for an earlier school year. Ask for a new one.", 422)
    return year


@act
def let_in(*, student: Person, by: Person, at: datetime | None = None) -> None:
    """A student locked after wrong codes may try again, on any device. Refused: access.not-yours, let-in.not-locked."""
    allow_with(by, "let a student in", student)
    lock(student)
    at = act_moment(student.school_id, at)
    if not name_locks([student], at):
        raise Refused("let-in.not-locked", f"{student.name} is not locked.")
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
        raise Refused("let-in.not-locked", "No student of this class is locked.")
    for student in unlocked:
        forget_wrong_codes(student)
        _record("student.let_in", student, section, by, at)
    return unlocked


@act
def end_enrollment(*, section: Section, student: Person, by: Person, at: datetime | None = None) -> Enrollment:
    """The student leaves the class after today; nothing else changes. Refused: access.not-yours, class.left."""
    allow(by, "change a class", section=section)
    lock(student)
    at = act_moment(section.school_id, at)
    open_ones = Enrollment.objects.filter(section=section, student=student, until_day=None)
    enrollment = open_ones.first()
    if enrollment is None:
        raise Refused("class.left", f"{student.name} is not in this class any more.")
    enrollment.until_day = max(enrollment.from_day, local_day(at, section.school.time_zone))
    enrollment.save(update_fields=["until_day"])
    _record("enrolment.ended", student, section, by, at, until_day=enrollment.until_day)
    return enrollment


def _of_class(section: Section, pks: list[int], code: str, sentence: str) -> list[Person]:
    """Those of the class, locked: two teachers with the same pile of forms come one after the other."""
    share_school(section.school_id)
    list(locked(Person.objects.filter(pk__in=pks)).order_by("pk").values_list("pk"))
    students = students_among(section, pks)
    if not students:
        raise Refused(code, sentence, 422)
    return students


def _record(kind: str, student: Person, section: Section | None, by: Person, at: datetime, **more: object) -> None:
    place = {"section": {"id": section.pk, "name": section.name}} if section else {}
    payload = {"by": by.as_record(), "student": student.as_record(), **place, **more}
    append(kind=kind, school=student.school_id, at=at, payload=payload)
