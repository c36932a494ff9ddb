"""Questions about terms, and about what the school still misses. Nothing here writes."""

from datetime import date

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.db.models import Exists, OuterRef

from shopsafe.school import access
from shopsafe.school.calendar import school_year
from shopsafe.school.models import Enrollment, Person, Section, StudentDocument, Term
from shopsafe.school.models.people import not_over
from shopsafe.school.naming.rules.ordering import people_in_order
from shopsafe.school.people.rules.documents import AGREEMENT
from shopsafe.school.places.rules import SchoolFacts, TermDays


def term_at(person: Person, day: date) -> Term | None:
    """The term of the asker's school that a new class is for, most likely: the one that runs on `day`, of several the
    one that began last; else the next; else the last one there was."""
    terms = list(access.terms_for(person))
    running = [term for term in terms if term.first_day <= day <= term.last_day]
    coming = [term for term in reversed(terms) if term.first_day > day]
    return next(iter(running or coming or terms), None)


def overlapping(term: Term) -> list[Term]:
    """The other terms of its school that share a day with this one, the earliest first."""
    shared = Term.objects.filter(school=term.school_id, first_day__lte=term.last_day, last_day__gte=term.first_day)
    return list(shared.exclude(pk=term.pk).order_by("first_day", "pk"))


def school_facts(office: Person, sections: list[Section], day: date) -> SchoolFacts:
    """What is set up and what is missing. `sections` come with their teachers and with `students`. Five queries."""
    terms = [TermDays(term.name, term.first_day, term.last_day) for term in access.terms_for(office)]
    current = [section for section in sections if section.term.last_day >= day]
    shopless = access.staff_for(office).filter(role=access.TEACHER, shops=None)
    without_agreement, without_slip = _students_without(office, current, day)
    sections_without = {section for section, _student in without_agreement}
    return SchoolFacts(
        shops=access.shops_for(office).count(),
        terms=terms,
        classes=len(current),
        without_teacher=[section.name for section in current if not _has_teacher(section)],
        without_students=[section.name for section in current if not section.students],  # type: ignore[attr-defined]
        shopless_teachers=[teacher.name for teacher in people_in_order(shopless)],
        without_agreement=len({student for _section, student in without_agreement}),
        agreement_classes=[section.name for section in current if section.pk in sections_without],
        without_slip=without_slip,
    )


def _has_teacher(section: Section) -> bool:
    return any(teacher.is_active for teacher in section.teachers.all())


def _students_without(office: Person, sections: list[Section], day: date) -> tuple[list[tuple[int, int]], int]:
    """(class, student) of these classes without a safety agreement for the year; how many have no sign-in slip."""
    enrolled = Enrollment.objects.filter(not_over(day), section__in=sections)
    year = school_year(day, office.school.year_first_month)
    agreed = StudentDocument.objects.filter(
        student=OuterRef("student"), kind=AGREEMENT.code, year=year, taken_back_at__isnull=True
    )
    students = Person.objects.filter(pk__in=enrolled.values("student"))
    without_slip = students.filter(password__startswith=UNUSABLE_PASSWORD_PREFIX).count()
    return list(enrolled.filter(~Exists(agreed)).values_list("section", "student")), without_slip
