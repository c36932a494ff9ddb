"""What is done with the documents of students: recording one, and withdrawing it."""

from collections.abc import Sequence
from datetime import date, datetime

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day, school_year
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Section, StudentDocument
from shopsafe.school.people.chosen import chosen_of_class
from shopsafe.school.people.queries import documents_of, students_among
from shopsafe.school.people.rules.documents import AGREEMENT, DOCUMENTS, DocumentKind
from shopsafe.school.refusals import Refused


@act
def record_document(
    *,
    section: Section,
    students: Sequence[Person],
    signed_on: date,
    by: Person,
    kind: DocumentKind = AGREEMENT,
    at: datetime | None = None,
) -> list[Person]:
    """Record a document of this kind and date for these students of the class; who has one that counts as well is left
    as they are.

    Returns those for whom it is new. Refused: access.not-yours, document.no one, document.in-future,
    document.too-old, document.recorded-already.
    """
    allow(by, "change a class", section=section)
    chosen_pks = [student.pk for student in students]
    class_students = chosen_of_class(section, chosen_pks, "document.nobody", _("Select the students who handed it in."))
    at = act_moment(section.school_id, at)
    today, first_month = local_day(at, section.school.time_zone), section.school.year_first_month
    if signed_on > today:
        raise Refused("document.in-future", _("The day it was signed has not come yet."), 422)
    if kind.is_too_old(signed_on, today, first_month):
        raise Refused(
            "document.too-old", _("A {kind} of that date counts no more. Ask for a new one.", kind=kind.name), 422
        )
    year = school_year(today, first_month)
    having = set(documents_of(class_students, kind, year, signed_on).values_list("student", flat=True))
    new = [student for student in class_students if student.pk not in having]
    if not new:
        raise Refused(
            "document.recorded-already", _("The {kind} is recorded already for all selected students.", kind=kind.name)
        )
    for student in new:
        document = StudentDocument.objects.create(
            school_id=section.school_id, student=student, kind=kind.code, year=year, signed_on=signed_on,
            recorded_by=by, recorded_at=at,
        )  # fmt: skip
        _record("agreement.recorded" if kind is AGREEMENT else "document.recorded", document, section, by, at)
    return new


@act
def withdraw_document(
    *,
    section: Section,
    student: Person,
    reason: str,
    by: Person,
    kind: DocumentKind = AGREEMENT,
    at: datetime | None = None,
) -> StudentDocument:
    """A student's latest document of this kind counts no more: it was recorded for the wrong student, say. It stays on
    record with the reason, and the right one may be recorded after it.

    Refused: access.not-yours, document.none (409), document.no-reason (422).
    """
    allow(by, "change a class", section=section)
    lock(student)
    at = act_moment(section.school_id, at)
    today = local_day(at, section.school.time_zone)
    enrolled_students = students_among(section, [student.pk], today)
    year = school_year(today, section.school.year_first_month)
    document = documents_of(enrolled_students, kind, year).order_by("signed_on", "pk").last()
    if document is None:
        raise Refused(
            "document.none", _("No {kind} of {student} is recorded that counts.", kind=kind.name, student=student.name)
        )
    if not reason.strip():
        raise Refused("document.no-reason", _("Say why the {kind} is withdrawn.", kind=kind.name), 422)
    document.taken_back_at, document.taken_back_by, document.taken_back_reason = at, by, reason.strip()
    document.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
    _record(
        "agreement.taken_back" if kind is AGREEMENT else "document.taken_back",
        document, section, by, at, reason=document.taken_back_reason,
    )  # fmt: skip
    return document


def _record(entry: str, document: StudentDocument, section: Section, by: Person, at: datetime, **more: object) -> None:
    """Append the entry. A safety agreement has kinds of entry of its own, and names no kind of document."""
    kind = DOCUMENTS[document.kind]
    payload = {
        "by": by.as_record(),
        "student": document.student.as_record(),
        "section": {"id": section.pk, "name": section.name},
        **({} if kind is AGREEMENT else {"document": {"code": kind.code, "name": kind.words.name}}),
        "year": document.year,
        "signed_on": document.signed_on,
        **more,
    }
    append(kind=entry, school=document.school_id, at=at, payload=payload)
