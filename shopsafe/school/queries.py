"""Questions about people and classes that more than one page or command asks. Nothing here writes."""

from datetime import date
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from shopsafe.school import access
from shopsafe.school.calendar import school_year
from shopsafe.school.models import Enrolment, Person, SafetyAgreement, School, Section, SheetWords, Shop, Term
from shopsafe.school.ordering import in_order
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters import Known
from shopsafe.school.telling_apart import full_names_of

IN_CLASS = Q(enrolments__until_day__isnull=True)


def section_by_pk_or_name(text: str) -> Section:
    """The class that a command names by primary key or by name. Refused: class.unknown, class.ambiguous."""
    sections = Section.objects.select_related("school", "term", "shop")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    found = list(sections.filter(Q(pk=number) | Q(name=text) if number is not None else Q(name=text)).order_by("pk"))
    if not found:
        found = list(sections.filter(name__iexact=text.strip()).order_by("pk"))
    if not found:
        raise Refused("class.unknown", f"There is no class “{text}”. Give its name or its number.", 422)
    if len(found) > 1:
        which = "; ".join(f"{one.pk} is {one.name}, {one.term.name}, {one.school.name}" for one in found)
        raise Refused("class.ambiguous", f"“{text}” may be any of {len(found)} classes: {which}. Give the number.", 422)
    return found[0]


def student_by_number_or_name(text: str) -> Person:
    """The student that a command names: primary key, the school's own number, or full name. Nobody is guessed.

    Refused: student.unknown, student.ambiguous.
    """
    text = text.strip()
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    students = Person.objects.filter(role=access.STUDENT).select_related("school")
    found = list(
        students.filter(Q(pk=number) | Q(local_id=text) | Q(name__iexact=text)).exclude(name="").order_by("pk")
    )
    if not found:
        raise Refused("student.unknown", f"There is no student “{text}”. Give the number or the full name.", 422)
    if len(found) > 1:
        which = "; ".join(f"{one.pk} is {one.name}, number {one.local_id or '–'}, {one.school.name}" for one in found)
        raise Refused("student.ambiguous", f"“{text}” may be any of {len(found)} students: {which}.", 422)
    return found[0]


def known_people(section: Section) -> list[Known]:
    """Everybody at the school of `section`, as a class list is weighed against them."""
    here = Enrolment.objects.filter(section=section, student=OuterRef("pk"), until_day=None)
    people = Person.objects.filter(school=section.school_id).annotate(here=Exists(here)).order_by("pk")
    rows = people.values_list("pk", "name", "local_id", "here", "role")
    return [Known(pk, name, local_id, in_class, role == "student") for pk, name, local_id, in_class, role in rows]


def sections_with_counts(person: Person, *related: str) -> list[Section]:
    """The classes a person may see, those of the latest term first, with `students` in each and `mine` where the person
    may change it. `related` is loaded with them."""
    taught = Section.teachers.through.objects.filter(section=OuterRef("pk"), person=person)
    enrolled = Count("enrolments", filter=IN_CLASS, distinct=True)
    rows = access.sections_for(person).annotate(students=enrolled, mine=Exists(taught)).prefetch_related(*related)
    return sorted(in_order(rows), key=lambda section: section.term.first_day, reverse=True)


def may_begin(person: Person) -> bool:
    """Whether it is this person's to name the school's first shop."""
    return access.may(person, "begin a shop") and not Shop.objects.filter(school=person.school_id).exists()


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
    students = Person.objects.filter(enrolments__section=section, enrolments__until_day=None)
    return sorted(students, key=lambda student: (student.sort_key, student.pk))


def leaving(section: Section, *, day: date) -> list[Person]:
    """The students for whom `day` is the last one in the class, in reading order: the day itself still counts."""
    stay = Enrolment.objects.filter(section=section, until_day=None).values("student")
    going = Enrolment.objects.filter(section=section, until_day=day).exclude(student__in=stay)
    students = Person.objects.filter(pk__in=going.values("student"))
    return sorted(students, key=lambda student: (student.sort_key, student.pk))


def called_in(section: Section, student: Person) -> str:
    """The full name of a student, told apart from those of the class."""
    return full_names_of([*students_of(section), student])[student.pk]


def students_among(section: Section, pks: list[int], *, lock: bool = False) -> list[Person]:
    """Those of `pks` who are in the class, in reading order; any other number is left out. `lock` holds their rows."""
    if lock:
        list(Person.objects.select_for_update().filter(pk__in=pks).order_by("pk").values_list("pk"))
    wanted = set(pks)
    return [student for student in students_of(section) if student.pk in wanted]


def words_of(shop: Shop, sheet: str) -> SheetWords | None:
    """What a shop's sheet says in the shop's own words; None while it says ours."""
    return SheetWords.objects.filter(shop=shop, sheet=sheet).select_related("set_by").last()


def anybody_here() -> bool:
    """Whether a school has begun in this installation."""
    return School.objects.exists()
