"""A class or a student named on a command line, and whether this installation has a school."""

from django.db.models import Q

from shopsafe.language.messages import _
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
        raise Refused("class.unknown", _("There is no class “{text}”. Give its name or its number.", text=text), 422)
    if len(matches) > 1:
        which = "; ".join(
            _(
                "{number} is {name}, {term}, {school}",
                number=section.pk,
                name=section.name,
                term=section.term.name,
                school=section.school.name,
            )
            for section in matches
        )
        raise Refused(
            "class.ambiguous",
            _(
                "“{text}” may be any of {count} classes: {which}. Give the number.",
                text=text,
                count=len(matches),
                which=which,
            ),
            422,
        )
    return matches[0]


def shop_by_pk_or_name(text: str) -> Shop:
    """The shop that a command names by primary key or by name. Refused: shop.unknown, shop.ambiguous."""
    shops = Shop.objects.select_related("school", "floor")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    matches = list(shops.filter(Q(pk=number) | Q(name__iexact=text.strip())).order_by("pk"))
    if not matches:
        raise Refused("shop.unknown", _("There is no shop “{text}”. Give its name or its number.", text=text), 422)
    if len(matches) > 1:
        which = "; ".join(
            _("{number} is {name}, {school}", number=shop.pk, name=shop.name, school=shop.school.name)
            for shop in matches
        )
        raise Refused(
            "shop.ambiguous",
            _(
                "“{text}” may be any of {count} shops: {which}. Give the number.",
                text=text,
                count=len(matches),
                which=which,
            ),
            422,
        )
    return matches[0]


def student_by_number_or_name(text: str) -> Person:
    """The student that a command names: primary key, the school's own number, or full name. No one is guessed.

    Refused: student.unknown, student.ambiguous.
    """
    text = text.strip()
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    students = Person.objects.filter(role=access.STUDENT).select_related("school")
    matches = list(
        students.filter(Q(pk=number) | Q(local_id=text) | Q(name__iexact=text)).exclude(name="").order_by("pk")
    )
    if not matches:
        raise Refused(
            "student.unknown", _("There is no student “{text}”. Give the number or the full name.", text=text), 422
        )
    if len(matches) > 1:
        which = "; ".join(
            _(
                "{key} is {student}, number {number}, {school}",
                key=student.pk,
                student=student.name,
                number=student.local_id or "–",
                school=student.school.name,
            )
            for student in matches
        )
        raise Refused(
            "student.ambiguous",
            _("“{text}” may be any of {count} students: {which}.", text=text, count=len(matches), which=which),
            422,
        )
    return matches[0]


def has_school() -> bool:
    """Whether a school has begun in this installation."""
    return School.objects.exists()
