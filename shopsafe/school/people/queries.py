"""Questions about the students of a class. Nothing here writes."""

from datetime import date

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from shopsafe.school import access
from shopsafe.school.calendar import school_year
from shopsafe.school.models import Enrollment, Person, Section, Shop, StudentDocument
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.naming.rules.ordering import in_order
from shopsafe.school.people.rules.documents import DOCUMENTS, DocumentKind

IN_CLASS = Q(enrollments__until_day__isnull=True)


def sections_with_counts(person: Person, *related: str) -> list[Section]:
    """The classes a person may see, those of the latest term first, with `students` in each and `mine` where the person
    may change it. `related` is loaded with them."""
    taught = Section.teachers.through.objects.filter(section=OuterRef("pk"), person=person)
    enrolled = Count("enrollments", filter=IN_CLASS, distinct=True)
    rows = access.sections_for(person).annotate(students=enrolled, mine=Exists(taught)).prefetch_related(*related)
    return sorted(in_order(rows), key=lambda section: section.term.first_day, reverse=True)


def may_begin(person: Person) -> bool:
    """Whether it is this person's to name the school's first shop."""
    return access.may(person, "begin a shop") and not Shop.objects.filter(school=person.school_id).exists()


def people_of(section: Section, *, day: date) -> list[Person]:
    """The students of a class in reading order, each with `documents_by_kind`: for each kind of document,
    the date of the one that counts on `day`, or None."""
    year = school_year(day, section.school.year_first_month)
    students = list(students_of(section))
    dates: dict[tuple[int, str], date] = {}
    rows = StudentDocument.objects.filter(student__in=students, taken_back_at=None).order_by("signed_on")
    for student_pk, code, of_year, dated in rows.values_list("student", "kind", "year", "signed_on"):
        kind = DOCUMENTS.get(code)
        if kind and kind.counts_on(day, dated, in_year=of_year == year):
            dates[student_pk, code] = dated
    for student in students:
        documents = [(kind, dates.get((student.pk, kind.code))) for kind in DOCUMENTS.values()]
        student.documents_by_kind = documents  # type: ignore[attr-defined]
    return students


def documents_of(
    students: list[Person], kind: DocumentKind, year: int, dated: date | None = None
) -> QuerySet[StudentDocument]:
    """The documents of this kind that these students have on record and that nobody withdrew: for the school year
    where the kind counts for one, otherwise those of the date `dated`, or of any date."""
    rows = StudentDocument.objects.filter(student__in=students, kind=kind.code, taken_back_at=None)
    if kind.valid_days is None:
        return rows.filter(year=year)
    return rows.filter(signed_on=dated) if dated else rows


def students_of(section: Section) -> list[Person]:
    """The students in a class now, in reading order."""
    students = Person.objects.filter(enrollments__section=section, enrollments__until_day=None)
    return sorted(students, key=lambda student: (student.sort_key, student.pk))


def leaving(section: Section, *, day: date) -> list[Person]:
    """The students for whom `day` is the last one in the class, in reading order: the day itself still counts."""
    stay = Enrollment.objects.filter(section=section, until_day=None).values("student")
    going = Enrollment.objects.filter(section=section, until_day=day).exclude(student__in=stay)
    students = Person.objects.filter(pk__in=going.values("student"))
    return sorted(students, key=lambda student: (student.sort_key, student.pk))


def name_in_class(section: Section, student: Person) -> str:
    """The full name of a student, told apart from those of the class."""
    return full_names_of([*students_of(section), student])[student.pk]


def students_among(section: Section, pks: list[int]) -> list[Person]:
    """Those of `pks` who are in the class, in reading order; any other number is left out."""
    chosen_pks = set(pks)
    return [student for student in students_of(section) if student.pk in chosen_pks]
