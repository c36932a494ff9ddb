"""Questions about the students of a class. Nothing here writes."""

from datetime import date
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from shopsafe.school import access
from shopsafe.school.calendar import school_year
from shopsafe.school.models import Enrollment, Person, SafetyAgreement, Section, Shop
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.naming.rules.ordering import in_order

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
    """The students of a class in reading order, each with `agreed`: when their agreement for the school year of
    `day` was signed, or None."""
    year = school_year(day, section.school.year_first_month)
    students = list(students_of(section))
    agreed: dict[int, Any] = dict(agreements_of(students, year).values_list("student", "signed_on"))
    for student in students:
        student.agreed = agreed.get(student.pk)  # type: ignore[attr-defined]
    return students


def agreements_of(students: list[Person], year: int) -> QuerySet[SafetyAgreement]:
    """The safety agreements of these students that stand for a school year: one a student at most."""
    return SafetyAgreement.objects.filter(student__in=students, year=year, taken_back_at=None)


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
