"""Rows of machines and records that acts and pages ask for; those for pages start from the asker."""

from collections.abc import Collection, Iterable
from datetime import date, datetime

from django.db.models import Q, QuerySet

from machines.clearance.class_machines import kinds_used, used_by
from machines.clearance.loading import SchoolRequirements
from machines.models import Hold, Machine, SignOff, TagOut
from shopsafe.database.plain_rows import first_key
from shopsafe.school import access
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.rules.ordering import number_key

STANDING = """SELECT signed.id FROM machines_signoff signed WHERE signed.student_id = %s AND signed.machine_id = %s
    AND signed.undone_at IS NULL AND signed.withdrawn_at IS NULL ORDER BY signed.at DESC, signed.id DESC LIMIT 1"""


def machines_for(person: Person) -> QuerySet[Machine]:
    """The machines of the shops a person sees: a student's by class, a teacher's own, otherwise the school's."""
    rows = Machine.objects.filter(shop__in=access.shops_for(person)).select_related("kind__bank", "shop", "school")
    return rows.order_by("shop__name", "shop", "number", "pk")


def in_service_life(machines: QuerySet[Machine], at: datetime) -> QuerySet[Machine]:
    """Return those that were in their shop at `at`, tagged out or not."""
    return machines.filter(added_at__lte=at).exclude(retired_at__lte=at)


def by_shop(machines: Iterable[Machine]) -> list[Machine]:
    """Machines by shop, as people count them, and by number; the shops are loaded."""
    return sorted(
        machines, key=lambda machine: (number_key(machine.shop.name), machine.shop_id, machine.number, machine.pk)
    )


def machines_in(sections: Iterable[Section], person: Person, at: datetime) -> list[Machine]:
    """The machines that stand `at` in the shops of these classes, and that one of these classes uses."""
    listed = list(sections)
    machines = machines_for(person).filter(shop__in={section.shop_id for section in listed}, added_at__lte=at)
    kinds = kinds_used(listed, at)
    in_shops = by_shop(machines.exclude(retired_at__lte=at))
    used = {machine.pk for section in listed for machine in used_by(section, in_shops, kinds)}
    return [machine for machine in in_shops if machine.pk in used]


def machines_used_by(sections: Iterable[Section], asks: SchoolRequirements, at: datetime) -> list[Machine]:
    """The machines that one of these classes uses, by shop and number, out of those that are loaded; the classes come
    with their shops. One query."""
    listed = list(sections)
    kinds, shops = kinds_used(listed, at), {section.shop_id: section.shop for section in listed}
    used = {machine.pk: machine for section in listed for machine in used_by(section, asks.machines.values(), kinds)}
    for machine in used.values():
        machine.shop = shops[machine.shop_id]
    return by_shop(used.values())


def machine_for(person: Person, pk: int) -> Machine:
    return access.one_of(machines_for(person), pk=pk)


def sign_offs_for(person: Person) -> QuerySet[SignOff]:
    rows = SignOff.objects.filter(student__in=access.students_for(person), machine__in=machines_for(person))
    return rows.select_related("student", "machine__kind", "machine__shop", "machine__school", "by", "withdrawn_by")


def holds_for(person: Person) -> QuerySet[Hold]:
    rows = Hold.objects.filter(student__in=access.students_for(person))
    people = rows.select_related("student__school", "placed_by", "lifted_by", "school")
    return people.prefetch_related("machines__kind")


def tag_outs_for(person: Person) -> QuerySet[TagOut]:
    rows = TagOut.objects.filter(machine__in=machines_for(person))
    return rows.select_related("machine__kind", "machine__shop", "machine__school", "by", "returned_by")


def holds_in_force(student_ids: Collection[int], day: date, at: datetime) -> QuerySet[Hold]:
    """The holds that stop these students at `at`, `day` being that day at the school."""
    rows = Hold.objects.filter(student__in=list(student_ids), placed_at__lte=at)
    holds = rows.filter(Q(lifted_at=None) | Q(lifted_at__gt=at)).filter(Q(last_day=None) | Q(last_day__gte=day))
    return holds.select_related("student", "placed_by").prefetch_related("machines__kind").order_by("placed_at", "pk")


def tagged_out(machine_ids: Collection[int], at: datetime) -> dict[int, TagOut]:
    """Machine → the tag-out it was under at `at`."""
    rows = TagOut.objects.filter(machine__in=list(machine_ids), at__lte=at)
    tag_outs = rows.filter(Q(returned_at=None) | Q(returned_at__gt=at)).select_related("by")
    return {row.machine_id: row for row in tag_outs}


def standing_sign_off(student: Person, machine: Machine) -> SignOff | None:
    """The latest sign-off on this very machine that was neither undone nor withdrawn, run out or not."""
    key = first_key(STANDING, student.pk, machine.pk)
    return None if key is None else SignOff.objects.select_related("by").get(pk=key)


def machine_of_section(section: Section, pk: int) -> Machine:
    """A machine of the class's shop; any other number is a 404."""
    rows = Machine.objects.filter(shop=section.shop_id).select_related("kind__bank", "shop", "school")
    return access.one_of(rows, pk=pk)


def sign_offs_at(student: Person, machine: Machine, at: datetime) -> list[SignOff]:
    """Everything signed off by `at` for this student on machines of this kind, the latest first."""
    rows = SignOff.objects.filter(student=student, kind=machine.kind_id, at__lte=at)
    return list(rows.select_related("machine__kind", "by", "undone_by", "withdrawn_by").order_by("-at", "-pk"))
