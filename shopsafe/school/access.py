"""Who may do what: the one place where every act and every view asks.

Two questions are answered here. `allow` says whether a person may do a deed at all, and raises `Refused`.
The `..._for` functions give the rows a person may see: each starts from the asker's school, and what is missing
or foreign is the same 404.
"""

from datetime import date
from typing import Any, Final, Literal

from django.db.models import Model, Q, QuerySet
from django.http import Http404

from shopsafe.act import server_time
from shopsafe.language.messages import _
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Enrollment, Person, School, Section, Shop, Term
from shopsafe.school.models.people import not_over
from shopsafe.school.refusals import Refused

STUDENT: Final = "student"
TEACHER: Final = "teacher"
SUBSTITUTE: Final = "substitute"
OFFICE: Final = "office"

type Role = Literal["student", "teacher", "substitute", "office"]
type Deed = Literal[
    "take a quiz",
    "see a register",
    "edit a bank",
    "publish an edition",
    "accept a bank",
    "void an attempt",
    "release a student",
    "give accommodations",
    "give a quiz on paper",
    "sign off",
    "place a hold",
    "lift a hold",
    "decide about a hold",
    "report a hazard",
    "look at a report",
    "inspect a machine",
    "subscribe to inspections",
    "tag out a machine",
    "return a machine to service",
    "run the floor",
    "grant supervising",
    "wait for a machine",
    "set requirements",
    "set up machines",
    "add a class",
    "change a class",
    "set the timetable",
    "let a student in",
    "say who is here",
    "begin a shop",
    "set up the school",
    "change the own password",
    "print",
    "word a sheet",
    "read the logbook",
    "export a record",
    "erase a record",
    "record an incident",
    "set up incidents",
]

# deed → roles. A teacher's deeds in a shop are for the teachers of that shop; on a class, for its own teachers.
ALLOWED_ROLES: dict[Deed, frozenset[Role]] = {
    "take a quiz": frozenset({STUDENT}),
    "see a register": frozenset({SUBSTITUTE, TEACHER, OFFICE}),
    "edit a bank": frozenset({TEACHER}),
    "publish an edition": frozenset({TEACHER}),
    "accept a bank": frozenset({TEACHER}),
    "void an attempt": frozenset({TEACHER}),
    "release a student": frozenset({TEACHER}),
    "give accommodations": frozenset({TEACHER}),
    "give a quiz on paper": frozenset({TEACHER}),
    "sign off": frozenset({TEACHER}),
    "place a hold": frozenset({TEACHER}),
    "lift a hold": frozenset({TEACHER}),
    "decide about a hold": frozenset({OFFICE}),
    "report a hazard": frozenset({STUDENT, SUBSTITUTE, TEACHER, OFFICE}),
    "look at a report": frozenset({TEACHER}),
    "inspect a machine": frozenset({TEACHER}),
    "subscribe to inspections": frozenset({TEACHER, OFFICE}),
    "tag out a machine": frozenset({TEACHER}),
    "return a machine to service": frozenset({TEACHER}),
    "run the floor": frozenset({TEACHER, SUBSTITUTE}),  # a substitute only by a grant for the class and day
    "grant supervising": frozenset({TEACHER, OFFICE}),
    "wait for a machine": frozenset({STUDENT}),
    "set requirements": frozenset({TEACHER}),
    "set up machines": frozenset({TEACHER, OFFICE}),
    "add a class": frozenset({TEACHER, OFFICE}),  # a teacher one of their own, in their shop
    "change a class": frozenset({TEACHER, OFFICE}),
    "set the timetable": frozenset({TEACHER, OFFICE}),  # the day cycle and days off: of the whole school
    "let a student in": frozenset({TEACHER, OFFICE}),
    "say who is here": frozenset({TEACHER, SUBSTITUTE}),
    "begin a shop": frozenset({TEACHER}),  # the first of the school; later ones are the office's
    "set up the school": frozenset({OFFICE}),
    "change the own password": frozenset({TEACHER, SUBSTITUTE, OFFICE}),  # a student has a slip
    "print": frozenset({TEACHER, OFFICE}),
    "word a sheet": frozenset({TEACHER, OFFICE}),
    "read the logbook": frozenset({TEACHER, OFFICE}),
    "export a record": frozenset({TEACHER, OFFICE}),
    "erase a record": frozenset({OFFICE}),
    "record an incident": frozenset({TEACHER, OFFICE}),  # the office for a day with a substitute
    "set up incidents": frozenset({OFFICE}),
}


def allow(person: Person, deed: Deed, *, shop: Shop | None = None, section: Section | None = None) -> None:
    """Return if `person` may do `deed` (in this shop, on this class); otherwise raise Refused, status 403."""
    if not may(person, deed, shop=shop, section=section):
        raise Refused("access.not-yours", _("This is not yours to do. Ask the teacher of the shop or the office."), 403)


def may(person: Person, deed: Deed, *, shop: Shop | None = None, section: Section | None = None) -> bool:
    if not person.is_active or person.role not in ALLOWED_ROLES[deed]:
        return False
    for place in (shop, section):
        if place is not None and place.school_id != person.school_id:
            return False
    if person.role != TEACHER:
        return True
    if shop is not None and not shop.teachers.filter(pk=person.pk).exists():
        return False
    return section is None or is_teacher_of(person, section)


def allow_with(person: Person, deed: Deed, student: Person) -> None:
    """Return if `person` may do `deed` with this student, who must be in their reach; otherwise raise Refused."""
    allow(person, deed)
    if not students_for(person).filter(pk=student.pk).exists():
        raise Refused("access.not-yours", _("This student is in none of your classes."), 403)


def is_teacher_of(person: Person, section: Section) -> bool:
    return section.teachers.filter(pk=person.pk).exists()


def in_school[M: Model](rows: QuerySet[M], person: Person) -> QuerySet[M]:
    """The rows of the asker's school."""
    return rows.filter(school=person.school_id)


def one_of[M: Model](rows: QuerySet[M], **which: Any) -> M:
    """The one row, or the same 404 for missing and foreign."""
    return one_row(rows.filter(**which).first())


def one_row[M: Model](row: M | None) -> M:
    """The row, or the same 404 for one that is missing or foreign."""
    if row is None:
        raise Http404
    return row


def today_at(school: School) -> date:
    """The calendar day at the school by the server's clock: for questions that are asked without a moment."""
    return local_day(server_time(), school.time_zone)


def shops_for(person: Person) -> QuerySet[Shop]:
    """A teacher's own shops; every shop of the school for the office and a substitute; a student's by class."""
    shops = in_school(Shop.objects.all(), person)
    if person.role == TEACHER:
        return shops.filter(teachers=person)
    if person.role == STUDENT:
        return shops.filter(sections__in=_classes_today(person)).distinct()
    return shops


def shop_for(person: Person, pk: int) -> Shop:
    return one_of(shops_for(person), pk=pk)


def terms_for(person: Person) -> QuerySet[Term]:
    """The terms of the asker's school, the latest first."""
    return in_school(Term.objects.all(), person)


def staff_ever_for(person: Person) -> QuerySet[Person]:
    """The staff of the asker's school, those whose access has ended among them."""
    return in_school(Person.objects.exclude(role=STUDENT), person)


def staff_for(person: Person) -> QuerySet[Person]:
    """The staff of the asker's school who have not left."""
    return staff_ever_for(person).filter(is_active=True)


def sections_for(person: Person) -> QuerySet[Section]:
    """A teacher's classes and those taught in the teacher's shops; all for office and substitute; a student's own."""
    sections = in_school(Section.objects.select_related("shop", "term", "school"), person)
    if person.role == TEACHER:
        return sections.filter(Q(teachers=person) | Q(shop__teachers=person)).distinct()
    if person.role == STUDENT:
        return sections.filter(pk__in=_classes_today(person))
    return sections


def _classes_today(student: Person) -> QuerySet[Enrollment, Any]:
    """The keys of the classes that a student is in today: the last day in a class still counts."""
    today = today_at(student.school)
    return Enrollment.objects.filter(not_over(today), student=student).values("section")


def section_for(person: Person, pk: int) -> Section:
    return one_of(sections_for(person), pk=pk)


def own_section_for(person: Person, pk: int) -> Section:
    """A class that the person may change; one that they may only see is the same 404."""
    section = section_for(person, pk)
    if not may(person, "change a class", section=section):
        raise Http404
    return section


def students_for(person: Person) -> QuerySet[Person]:
    """The students a person may see: a student only themselves, a teacher those of the classes in reach."""
    students = in_school(Person.objects.filter(role=STUDENT), person)
    if person.role == STUDENT:
        return students.filter(pk=person.pk)
    if person.role == TEACHER:
        return students.filter(enrollments__section__in=sections_for(person)).distinct()
    return students


def student_for(person: Person, pk: int) -> Person:
    return one_of(students_for(person).select_related("school"), pk=pk)
