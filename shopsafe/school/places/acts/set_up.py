"""The office sets the school up: terms, shops, classes, and the people who teach."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models

from shopsafe.act import act
from shopsafe.conventions import Conventions
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, one_of, sections_for, shops_for, staff_ever_for, terms_for
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school, locked
from shopsafe.school.models import Person, School, Section, Shop, Term
from shopsafe.school.naming.entered import entered_name
from shopsafe.school.naming.rules.names import sign_in_key
from shopsafe.school.naming.rules.ordering import people_in_order
from shopsafe.school.places.rules import LONGEST_TERM, is_too_long
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.passwords import must_be_strong

STAFF = ("teacher", "substitute", "office")


@act
def add_term(*, name: str, first_day: date, last_day: date, by: Person, at: datetime | None = None) -> Term:
    """Refused: access.not-yours, set-up.not-valid, term.too-long (422)."""
    allow(by, "set up the school")
    at, name = _opened(by, at), entered_name(name, _("The name of the term"))
    _must_end_in_time(first_day, last_day)
    term = _kept(Term(school=by.school, name=name, first_day=first_day, last_day=last_day))
    _record("term.added", by, at, term=_named(term), first_day=first_day, last_day=last_day)
    return term


@act
def change_term(
    *, term: Term, name: str, first_day: date, last_day: date, by: Person, at: datetime | None = None
) -> Term:
    """Another name or other days for a term. Clearances end with its last day, and a register of a day gone by must
    come out as it was: so the last day moves from today on only.

    Refused: access.not-yours, set-up.not-valid, term.over (422), term.too-long (422).
    """
    allow(by, "set up the school")
    at, name = _opened(by, at), entered_name(name, _("The name of the term"))
    locked_term = one_of(locked(terms_for(by)), pk=term.pk)
    before = {"called": locked_term.name, "first_day": locked_term.first_day, "last_day": locked_term.last_day}
    today = local_day(at, by.school.time_zone)
    if last_day != locked_term.last_day and locked_term.last_day < today:
        raise Refused("term.over", _("This term is over. Its last day stays: clearances ended with it."), 422)
    if last_day != locked_term.last_day and last_day < today:
        raise Refused("term.over", _("That day is over. Choose today or a later one."), 422)
    if (first_day, last_day) != (locked_term.first_day, locked_term.last_day):
        _must_end_in_time(first_day, last_day)
    locked_term.name, locked_term.first_day, locked_term.last_day = name, first_day, last_day
    _kept(locked_term, update_fields=["name", "first_day", "last_day"])
    _record("term.changed", by, at, term=_named(locked_term), first_day=first_day, last_day=last_day, before=before)
    return locked_term


@act
def set_idle_minutes(*, minutes_student: int, minutes_staff: int, by: Person, at: datetime | None = None) -> School:
    """The minutes without use after which students, and staff, are signed out. Sign-ins that are open follow.

    Refused: access.not-yours, set-up.not-valid.
    """
    allow(by, "set up the school")
    at = _opened(by, at)
    school = by.school
    school.idle_minutes_student, school.idle_minutes_staff = minutes_student, minutes_staff
    _kept(school, update_fields=["idle_minutes_student", "idle_minutes_staff"])
    _record("idle_minutes.set", by, at, minutes_student=minutes_student, minutes_staff=minutes_staff)
    return school


@act
def set_conventions(*, conventions: Conventions, by: Person, at: datetime | None = None) -> School:
    """How the school writes dates and times, on its pages and prints. What is recorded stays as it is.

    Refused: access.not-yours, set-up.not-valid.
    """
    allow(by, "set up the school")
    at = _opened(by, at)
    school = by.school
    school.conventions = conventions
    _kept(school, update_fields=["conventions"])
    _record("conventions.set", by, at, conventions=conventions)
    return school


@act
def add_shop(*, name: str, teachers: Sequence[Person], by: Person, at: datetime | None = None) -> Shop:
    """Refused: access.not-yours, set-up.not-valid, set-up.elsewhere."""
    allow(by, "set up the school")
    at, name = _opened(by, at), entered_name(name, _("The name of the shop"))
    _are_teachers(by, teachers)
    shop = _kept(Shop(school=by.school, name=name))
    shop.teachers.set(teachers)
    _record("shop.added", by, at, shop=_named(shop), teachers=[teacher.as_record() for teacher in teachers])
    return shop


@act
def begin_shop(
    *, shop: str, section: str, term: str, first_day: date, last_day: date, by: Person, at: datetime | None = None
) -> Section:
    """The first shop of a school, with a term and a class, all by and for the teacher who begins it.

    Refused: access.not-yours, begin.shop-there, begin.term-over, set-up.not-valid, term.too-long (422).
    """
    allow(by, "begin a shop")
    at = _opened(by, at)
    if Shop.objects.filter(school=by.school_id).exists():
        raise Refused("begin.shop-there", _("The school has a shop already. The office adds shops and classes."))
    if first_day <= last_day < local_day(at, by.school.time_zone):  # the wrong way round, the term itself refuses
        raise Refused("begin.term-over", _("The last day of the term is over. Choose today or a later one."), 422)
    _must_end_in_time(first_day, last_day)
    room = _kept(Shop(school=by.school, name=entered_name(shop, _("The name of the shop"))))
    called = entered_name(term, _("The name of the term"))
    span = _kept(Term(school=by.school, name=called, first_day=first_day, last_day=last_day))
    called = entered_name(section, _("The name of the class"))
    taught = _kept(Section(school=by.school, term=span, shop=room, name=called))
    room.teachers.add(by)
    taught.teachers.add(by)
    people = [by.as_record()]
    _record("shop.added", by, at, shop=_named(room), teachers=people)
    _record("term.added", by, at, term=_named(span), first_day=first_day, last_day=last_day)
    _record("section.added", by, at, section=_named(taught), term=_named(span), shop=_named(room), teachers=people)
    return taught


@act
def add_section(
    *, name: str, term: Term, shop: Shop, teachers: Sequence[Person], by: Person, at: datetime | None = None
) -> Section:
    """A class. Its teachers become teachers of its shop too. A teacher adds classes in an own shop, and teaches them.
    Refused: access.not-yours, set-up.not-valid, set-up.elsewhere."""
    allow(by, "add a class", shop=shop)
    if by.is_teacher:
        teachers = [by, *(teacher for teacher in teachers if teacher != by)]
    at, name = _opened(by, at), entered_name(name, _("The name of the class"))
    _same_school(by, [term])
    _are_teachers(by, teachers)
    section = _kept(Section(school=by.school, term=term, shop=shop, name=name))
    section.teachers.set(teachers)
    shop.teachers.add(*teachers)
    people = [teacher.as_record() for teacher in teachers]
    _record("section.added", by, at, section=_named(section), term=_named(term), shop=_named(shop), teachers=people)
    return section


@act
def rename_section(*, section: Section, name: str, by: Person, at: datetime | None = None) -> Section:
    """Another name for a class; with the same one nothing happens. What was recorded keeps the name it had then.

    Refused: access.not-yours, set-up.not-valid. Of another school: 404.
    """
    allow(by, "set up the school")
    at, name = _opened(by, at), entered_name(name, _("The name of the class"))
    locked_section = one_of(locked(sections_for(by)), pk=section.pk)
    before, locked_section.name = locked_section.name, name
    if before != name:
        _kept(locked_section, update_fields=["name"])
        _record("section.renamed", by, at, section=_named(locked_section), before=before)
    return locked_section


@act
def rename_shop(*, shop: Shop, name: str, by: Person, at: datetime | None = None) -> Shop:
    """Another name for a shop, as for a class. Refused: access.not-yours, set-up.not-valid. Of another school: 404."""
    allow(by, "set up the school")
    at, name = _opened(by, at), entered_name(name, _("The name of the shop"))
    locked_shop = one_of(locked(shops_for(by)), pk=shop.pk)
    before, locked_shop.name = locked_shop.name, name
    if before != name:
        _kept(locked_shop, update_fields=["name"])
        _record("shop.renamed", by, at, shop=_named(locked_shop), before=before)
    return locked_shop


@act
def set_teachers(*, section: Section, teachers: Sequence[Person], by: Person, at: datetime | None = None) -> None:
    """Who teaches a class from now on. Refused: access.not-yours, set-up.elsewhere."""
    allow(by, "set up the school", section=section)
    at = _opened(by, at)
    _are_teachers(by, teachers)
    section.teachers.set(teachers)
    section.shop.teachers.add(*teachers)
    _record(
        "section.teachers_set", by, at, section=_named(section), teachers=[teacher.as_record() for teacher in teachers]
    )


@act
def set_shop_teachers(*, shop: Shop, teachers: Sequence[Person], by: Person, at: datetime | None = None) -> None:
    """The teachers of a shop from now on. The teachers of a class there stay until the term of the class is over.
    Refused: access.not-yours, set-up.elsewhere, set-up.no-teacher, shop.teaches (409)."""
    allow(by, "set up the school", shop=shop)
    at = _opened(by, at)
    _are_teachers(by, teachers)
    today = local_day(at, by.school.time_zone)
    running = Section.objects.filter(shop=shop, term__last_day__gte=today, teachers__in=shop.teachers.all())
    leaving = set(shop.teachers.all()) - set(teachers)
    for section in running.distinct().prefetch_related("teachers"):
        if names := [teacher.name for teacher in people_in_order(section.teachers.all()) if teacher in leaving]:
            change = _("Change the teachers of the class first.")
            raise Refused(
                "shop.teaches",
                _("{names} teaches {section} here. {change}", names=names[0], section=section.name, change=change),
            )
    shop.teachers.set(teachers)
    people = [teacher.as_record() for teacher in teachers]
    _record("shop.teachers_set", by, at, shop=_named(shop), teachers=people)


@act
def add_staff(
    *,
    name: str,
    role: str,
    password: str,
    shops: Sequence[Shop],
    by: Person,
    at: datetime | None = None,
    given: str = "",
    family: str = "",
) -> Person:
    """A teacher, substitute or office person. The password is stored as a hash and shown to no one.

    Refused: access.not-yours, set-up.not-valid, set-up.weak-password, set-up.same-name,
    set-up.elsewhere.
    """
    allow(by, "set up the school")
    at, name = _opened(by, at), entered_name(name, _("The name of the person"))
    given, family = (entered_name(part, _("The name of the person")) for part in (given, family))
    _same_school(by, shops)
    if role not in STAFF:
        raise Refused("set-up.not-valid", _("Choose what this person does: teacher, substitute or office."), 422)
    must_be_strong(password, "set-up.weak-password")
    _named_otherwise(name, by)
    name_parts: dict[str, Any] = {"given_name": given, "family_name": family}
    person = Person.objects.enter(school=by.school, role=role, name=name, code=password, **name_parts)
    if role == "teacher":
        person.shops.set(shops)
    shown = [_named(shop) for shop in shops]
    _record("staff.added", by, at, person=person.as_record(), role=role, sign_in_name=person.sign_in_name, shops=shown)
    return person


def _opened(by: Person, at: datetime | None) -> datetime:
    """The moment, with the school held alone: everything else rests on what the office sets up."""
    lock_school(by.school_id)
    return act_moment(by.school_id, at)


def _kept[M: models.Model](row: M, **how: Any) -> M:
    """Saved, with the sentences of its constraints for a refusal."""
    try:
        row.full_clean()
    except ValidationError as wrong:
        raise Refused("set-up.not-valid", " ".join(wrong.messages), 422) from wrong
    try:
        row.save(**(how or {"force_insert": True}))
    except IntegrityError as raced:  # someone added the same between the question and the answer
        raise Refused("set-up.raced", _("Someone else has just added that. Look at the office page.")) from raced
    return row


def _must_end_in_time(first_day: date, last_day: date) -> None:
    if is_too_long(first_day, last_day):
        raise Refused(
            "term.too-long",
            _(
                "A term has {days} days at most, because clearances end with it. Look at the year of its last day.",
                days=LONGEST_TERM.days,
            ),
            422,
        )


def _named_otherwise(name: str, by: Person) -> None:
    """Two of one name would be one on every print, and who sends a form twice would be there twice."""
    same = [staff_member for staff_member in staff_ever_for(by) if sign_in_key(staff_member.name) == sign_in_key(name)]
    if not same:
        return
    problem = _("There is a {name} already.", name=name)
    if not any(staff_member.is_active for staff_member in same):
        problem = _("There was a {name}, whose access has ended. Let the same person in again.", name=name)
    raise Refused(
        "set-up.same-name",
        _("{problem} If it is another person, write the name so that the two differ.", problem=problem),
    )


def _same_school(by: Person, rows: Sequence[Any]) -> None:
    if any(row.school_id != by.school_id for row in rows):
        raise Refused("set-up.elsewhere", _("That belongs to another school."), 403)


def _are_teachers(by: Person, people: Sequence[Person]) -> None:
    _same_school(by, people)
    if any(not person.is_teacher for person in people):
        raise Refused("set-up.no-teacher", _("Only a teacher can teach a class."), 422)


def _named(row: School | Term | Shop | Section) -> dict[str, Any]:
    return {"id": row.pk, "name": row.name}


def _record(kind: str, by: Person, at: datetime, **what: Any) -> None:
    append(kind=kind, school=by.school_id, at=at, payload={"by": by.as_record(), **what})
