"""Hazard reports that a person may see, and those that wait for a teacher."""

from datetime import datetime

from django.db.models import QuerySet

from machines.models import HazardReport
from shopsafe.school import access
from shopsafe.school.models import Person

LATEST = 30


def reports_for(person: Person) -> QuerySet[HazardReport]:
    """A student's own; those of the shops that any other person sees."""
    rows = HazardReport.objects.filter(shop__in=access.shops_for(person), school=person.school_id)
    if person.is_student:
        rows = HazardReport.objects.filter(by=person)
    rows = rows.select_related("machine__kind", "machine__school", "shop__school", "by", "ended_by", "tag_out")
    return rows.select_related("photo").defer("photo__content")


def open_reports(person: Person, at: datetime) -> list[HazardReport]:
    """The reports in a person's shops that no teacher has ended by `at`: those that keep a machine off first, then the
    latest."""
    rows = reports_for(person).filter(at__lte=at).exclude(ended_at__lte=at)
    return sorted(rows, key=lambda row: (not row.keeps_off, -row.at.timestamp(), -row.pk))


def ended_reports(person: Person, at: datetime) -> list[HazardReport]:
    """The latest that a teacher has ended, the last one first."""
    return list(reports_for(person).filter(ended_at__lte=at).order_by("-ended_at", "-pk")[:LATEST])


def reports_at(person: Person, machine: int, at: datetime) -> list[HazardReport]:
    """The open reports at one machine, the first of them first."""
    return list(reports_for(person).filter(machine=machine, at__lte=at).exclude(ended_at__lte=at).order_by("at", "pk"))
