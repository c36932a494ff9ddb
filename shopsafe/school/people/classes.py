"""Which students were in which classes at a moment, and which classes were running."""

from datetime import date, datetime

from django.db.models import QuerySet

from shopsafe.database.plain_rows import Columns, plain_rows
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Enrollment, Person, Section, Term
from shopsafe.school.naming.rules.ordering import in_order

STUDENT = Columns(Person, "student")
# One row a student who was in one of the classes on that day.
ENROLLED = f"""
SELECT enrollment.section_id, student.id, {STUDENT.sql}
  FROM school_enrolment enrollment LEFT JOIN school_person student ON student.id = enrollment.student_id
 WHERE enrollment.section_id IN ({{ids}}) AND enrollment.from_day <= %(day)s
   AND (enrollment.until_day IS NULL OR enrollment.until_day >= %(day)s)
"""  # noqa: S608  names of columns, from above


def students_of(section: Section, at: datetime) -> list[Person]:
    """Who was in the class on the day of `at`, in reading order."""
    return enrolled([section], at)[section.pk]


def enrolled(sections: list[Section], at: datetime) -> dict[int, list[Person]]:
    """Class → who was in it on the day of `at`, in reading order. Classes of one school; one query."""
    if not sections:
        return {}
    day = local_day(at, sections[0].school.time_zone)
    people: dict[int, tuple[str, int, Person]] = {}
    students_by_class: dict[int, set[int]] = {section.pk: set() for section in sections}
    for section, pk, *values in plain_rows(ENROLLED, [section.pk for section in sections], at, day):
        students_by_class[section].add(pk)
        if pk not in people:
            student = STUDENT.instance(values)
            student.school = sections[0].school  # else each tile of a page would ask for it
            people[pk] = (student.sort_key, pk, student)
    return {
        pk: [people[key][2] for key in sorted(keys, key=people.__getitem__)] for pk, keys in students_by_class.items()
    }


def running_sections(person: Person, day: date) -> list[Section]:
    """The classes in a person's sight whose term is running, by name, as people count."""
    return in_order(sections_running(person, day))


def sections_running(person: Person, day: date) -> QuerySet[Section]:
    """The same in any order."""
    return access.sections_for(person).filter(term__first_day__lte=day, term__last_day__gte=day)


def section_with(person: Person, student: Person, shop_id: int, at: datetime) -> Section | None:
    """The class of that shop, in a person's sight and running at `at`, that the student is in; the first by name."""
    day = local_day(at, person.school.time_zone)
    enrollments = Enrollment.objects.filter(student=student, section__shop=shop_id, from_day__lte=day)
    classes = set(enrollments.exclude(until_day__lt=day).values_list("section", flat=True))
    return next((section for section in running_sections(person, day) if section.pk in classes), None)


def terms_in_shop(student: Person, shop_id: int, day: date) -> QuerySet[Term]:
    """The terms, running on `day`, of the student's classes in a shop."""
    enrolled = Enrollment.objects.filter(student=student, section__shop=shop_id, from_day__lte=day)
    sections = enrolled.exclude(until_day__lt=day).values("section")
    return Term.objects.filter(sections__in=sections, first_day__lte=day, last_day__gte=day).distinct()


def student_of_section(section: Section, pk: int) -> Person:
    """A student who is or was in the class; any other number is a 404."""
    students = Person.objects.filter(enrollments__section=section).select_related("school").distinct()
    return access.one_of(students, pk=pk)
