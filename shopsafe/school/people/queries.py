"""Questions about the students of a class. Nothing here writes."""

from datetime import date, timedelta

from django.db.models import Count, Exists, OuterRef, QuerySet

from shopsafe.school import access
from shopsafe.school.calendar import school_year
from shopsafe.school.models import Enrollment, Person, Section, Shop, StudentDocument
from shopsafe.school.models.people import not_over
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.naming.rules.ordering import in_order, people_in_order
from shopsafe.school.people.rules.documents import DOCUMENTS, DocumentKind


def sections_with_counts(person: Person, *related: str) -> list[Section]:
    """The classes a person may see, those of the latest term first, with `students` in each and `mine` where the person
    may change it. `related` is loaded with them."""
    taught = Section.teachers.through.objects.filter(section=OuterRef("pk"), person=person)
    in_class = not_over(access.today_at(person.school), "enrollments__")
    enrolled = Count("enrollments__student", filter=in_class, distinct=True)
    rows = access.sections_for(person).annotate(students=enrolled, mine=Exists(taught)).prefetch_related(*related)
    return sorted(in_order(rows), key=lambda section: section.term.first_day, reverse=True)


def may_begin(person: Person) -> bool:
    """Whether it is this person's to name the school's first shop."""
    return access.may(person, "begin a shop") and not Shop.objects.filter(school=person.school_id).exists()


def may_add_a_class(person: Person) -> bool:
    """Whether there is a shop and a term in which this person may add a class."""
    if not access.may(person, "add a class"):
        return False
    return access.shops_for(person).exists() and access.terms_for(person).exists()


def people_of(section: Section, *, day: date) -> list[Person]:
    """The students of a class in reading order, each with `documents_by_kind`: for each kind of document,
    the date of the one that counts on `day`, or None."""
    return with_documents(students_of(section, day), section, day=day)


def with_documents(students: list[Person], section: Section, *, day: date) -> list[Person]:
    """These students of a class, each with `documents_by_kind` as in `people_of`."""
    year = school_year(day, section.school.year_first_month)
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
    """The documents of this kind that these students have on record and that no one withdrew: for the school year
    where the kind counts for one, otherwise those of the date `dated`, or of any date."""
    rows = StudentDocument.objects.filter(student__in=students, kind=kind.code, taken_back_at=None)
    if kind.valid_days is None:
        return rows.filter(year=year)
    return rows.filter(signed_on=dated) if dated else rows


def students_of(section: Section, day: date | None = None) -> list[Person]:
    """The students in a class on `day` or today, those on their last day among them, in reading order."""
    enrolled = Enrollment.objects.filter(not_over(day or access.today_at(section.school)), section=section)
    students = Person.objects.filter(pk__in=enrolled.values("student"))
    return people_in_order(students)


def leaving(section: Section, *, day: date) -> list[Person]:
    """The students for whom `day` is the last one in the class, in reading order: the day itself still counts."""
    stay = Enrollment.objects.filter(not_over(day + timedelta(days=1)), section=section).values("student")
    going = Enrollment.objects.filter(section=section, until_day=day).exclude(student__in=stay)
    students = Person.objects.filter(pk__in=going.values("student"))
    return people_in_order(students)


def last_day_in(section: Section, student: Person, *, day: date) -> date | None:
    """The last day of a student in a class if it is set and not before `day`; None for a student who stays."""
    rows = Enrollment.objects.filter(not_over(day), section=section, student=student)
    days = list(rows.values_list("until_day", flat=True))
    return None if None in days else max((last_day for last_day in days if last_day), default=None)


def classes_to_move_to(person: Person, section: Section, *, day: date) -> list[Section]:
    """The classes in a person's sight to which a student of `section` may move: those whose term is not over."""
    return in_order(access.sections_for(person).filter(term__last_day__gte=day).exclude(pk=section.pk))


def name_in_class(section: Section, student: Person) -> str:
    """The full name of a student, distinguished from those of the class."""
    return full_names_of([*students_of(section), student])[student.pk]


def students_among(section: Section, pks: list[int], day: date | None = None) -> list[Person]:
    """Those of `pks` who are in the class on `day` or today, in reading order; any other number is left out."""
    chosen_pks = set(pks)
    return [student for student in students_of(section, day) if student.pk in chosen_pks]
