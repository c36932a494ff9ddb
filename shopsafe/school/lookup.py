"""A class or a student named on a command line, and whether this installation has a school."""

from django.db.models import Q

from shopsafe.school import access
from shopsafe.school.models import Person, School, Section, Shop
from shopsafe.school.refusals import Refused


def section_by_pk_or_name(text: str) -> Section:
    """The class that a command names by primary key or by name. Refused: class.unknown, class.ambiguous."""
    sections = Section.objects.select_related("school", "term", "shop")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    matches = list(sections.filter(Q(pk=number) | Q(name=text) if number is not None else Q(name=text)).order_by("pk"))
    if not matches:
        matches = list(sections.filter(name__iexact=text.strip()).order_by("pk"))
    if not matches:
        raise Refused("class.unknown", f"There is no class “{text}”. Give its name or its number.", 422)
    if len(matches) > 1:
        which = "; ".join(
            f"{section.pk} is {section.name}, {section.term.name}, {section.school.name}" for section in matches
        )
        raise Refused(
            "class.ambiguous", f"“{text}” may be any of {len(matches)} classes: {which}. Give the number.", 422
        )
    return matches[0]


def shop_by_pk_or_name(text: str) -> Shop:
    """The shop that a command names by primary key or by name. Refused: shop.unknown, shop.ambiguous."""
    shops = Shop.objects.select_related("school", "floor")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    matches = list(shops.filter(Q(pk=number) | Q(name__iexact=text.strip())).order_by("pk"))
    if not matches:
        raise Refused("shop.unknown", f"There is no shop “{text}”. Give its name or its number.", 422)
    if len(matches) > 1:
        which = "; ".join(f"{shop.pk} is {shop.name}, {shop.school.name}" for shop in matches)
        raise Refused("shop.ambiguous", f"“{text}” may be any of {len(matches)} shops: {which}. Give the number.", 422)
    return matches[0]


def student_by_number_or_name(text: str) -> Person:
    """The student that a command names: primary key, the school's own number, or full name. Nobody is guessed.

    Refused: student.unknown, student.ambiguous.
    """
    text = text.strip()
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    students = Person.objects.filter(role=access.STUDENT).select_related("school")
    matches = list(
        students.filter(Q(pk=number) | Q(local_id=text) | Q(name__iexact=text)).exclude(name="").order_by("pk")
    )
    if not matches:
        raise Refused("student.unknown", f"There is no student “{text}”. Give the number or the full name.", 422)
    if len(matches) > 1:
        which = "; ".join(
            f"{student.pk} is {student.name}, number {student.local_id or '–'}, {student.school.name}"
            for student in matches
        )
        raise Refused("student.ambiguous", f"“{text}” may be any of {len(matches)} students: {which}.", 422)
    return matches[0]


def has_school() -> bool:
    """Whether a school has begun in this installation."""
    return School.objects.exists()
