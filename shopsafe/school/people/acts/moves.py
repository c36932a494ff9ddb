"""A student leaves a class, stays in it after all, or moves to another class."""

from datetime import date, datetime

from django.db import IntegrityError

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, section_for
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Enrollment, Person, Section
from shopsafe.school.models.people import not_over
from shopsafe.school.refusals import Refused


@act
def end_enrollment(
    *, section: Section, student: Person, by: Person, last_day: date | None = None, at: datetime | None = None
) -> Enrollment:
    """The student leaves the class after `last_day`, or after today; nothing else changes. A day that was set before
    may be changed as long as it has not passed.

    Refused: access.not-yours, class.left (409), class.day-over (422).
    """
    allow(by, "change a class", section=section)
    lock(student)
    at = act_moment(section.school_id, at)
    today = local_day(at, section.school.time_zone)
    if last_day and last_day < today:
        raise Refused("class.day-over", _("That day is over. Choose today or a later day."), 422)
    enrollment = _enrollment(section, student, today)
    until_day = max(enrollment.from_day, last_day or today)
    if enrollment.until_day == until_day:
        raise Refused("class.left", _("{student} leaves this class after that day already.", student=student.name))
    enrollment.until_day = until_day
    enrollment.save(update_fields=["until_day"])
    _record("enrolment.ended", student, section, by, at, until_day=enrollment.until_day)
    return enrollment


@act
def keep_enrollment(*, section: Section, student: Person, by: Person, at: datetime | None = None) -> Enrollment:
    """A student whose last day in the class is set, and not over, stays in it after all.

    Refused: access.not-yours, class.left (409), class.stays (409).
    """
    allow(by, "change a class", section=section)
    lock(student)
    at = act_moment(section.school_id, at)
    enrollment = _enrollment(section, student, local_day(at, section.school.time_zone))
    if enrollment.until_day is None:
        raise Refused("class.stays", _("{student} stays in this class already.", student=student.name))
    before, enrollment.until_day = enrollment.until_day, None
    enrollment.save(update_fields=["until_day"])
    _record("enrolment.kept", student, section, by, at, was_until=before)
    return enrollment


def move_student(
    *, section: Section, student: Person, to: Section, by: Person, at: datetime | None = None
) -> Enrollment:
    """The student leaves `section` after today and is in `to` from today: both lists name the student today.

    `to` is any class that `by` may see and whose term is not over: a student who changes the period often changes the
    teacher too. Refused: access.not-yours, class.left (409), move.same-class, move.already-there, move.term-over (422).
    """
    try:
        return _move(section, student, to, by, at)
    except IntegrityError as raced:  # a class list brought the student there at the same moment
        raise Refused(
            "move.already-there", _("{student} is in {section} already.", student=student.name, section=to.name)
        ) from raced


@act
def _move(section: Section, student: Person, to: Section, by: Person, at: datetime | None) -> Enrollment:
    allow(by, "change a class", section=section)
    section_for(by, to.pk)
    lock(student)
    at = act_moment(section.school_id, at)
    today = local_day(at, section.school.time_zone)
    if to.pk == section.pk:
        raise Refused("move.same-class", _("Choose another class than this one."), 422)
    if to.term.last_day < today:
        raise Refused(
            "move.term-over", _("The term of {section} is over. Choose a class of this term.", section=to.name), 422
        )
    enrollment = _enrollment(section, student, today)
    if Enrollment.objects.filter(not_over(today), section=to, student=student).exists():
        raise Refused(
            "move.already-there", _("{student} is in {section} already.", student=student.name, section=to.name)
        )
    enrollment.until_day = max(enrollment.from_day, today)
    enrollment.save(update_fields=["until_day"])
    moved = Enrollment.objects.create(school_id=to.school_id, section=to, student=student, from_day=today)
    classes = [{"id": place.pk, "name": place.name} for place in (section, to)]
    payload = {"by": by.as_record(), "student": student.as_record(), "sections": classes, "from_day": today}
    append(kind="student.moved", school=student.school_id, at=at, payload=payload)
    return moved


def _enrollment(section: Section, student: Person, today: date) -> Enrollment:
    """The student's enrollment in the class, today or from a later day; of several the one that lasts longest."""
    rows = Enrollment.objects.filter(not_over(today), section=section, student=student).order_by("from_day", "pk")
    if (enrollment := rows.last()) is None:
        raise Refused("class.left", _("{student} is not in this class any more.", student=student.name))
    return enrollment


def _record(kind: str, student: Person, section: Section, by: Person, at: datetime, **more: object) -> None:
    place = {"id": section.pk, "name": section.name}
    payload = {"by": by.as_record(), "student": student.as_record(), "section": place, **more}
    append(kind=kind, school=student.school_id, at=at, payload=payload)
