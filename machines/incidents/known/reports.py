"""What inspections and hazard reports said about a machine at the moment of an incident. No one is named who is no
teacher: a student may have reported it."""

from datetime import datetime

from django.db.models import Q

from machines.clearance.rules.wording import clock_text, day
from machines.incidents.facts import FactLine
from machines.models import HazardReport, Inspection, Machine


def report_lines(machine: Machine, at: datetime) -> tuple[FactLine, ...]:
    """The last inspection before `at`, and the hazard reports that no teacher had cleared by then."""
    zone = machine.school.time_zone
    last = Inspection.objects.filter(machine=machine, at__lte=at).select_related("by").order_by("at", "pk").last()
    rows = HazardReport.objects.filter(machine=machine, at__lte=at).filter(Q(ended_at=None) | Q(ended_at__gt=at))
    hazards = [f"{row.get_kind_display()}, reported {clock_text(row.at, zone)}." for row in rows.order_by("at", "pk")]
    return (
        FactLine("Last inspection", _inspection(last, zone)),
        FactLine("Open hazard reports", " ".join(hazards) or "None."),
    )


def _inspection(row: Inspection | None, zone: str) -> str:
    if row is None:
        return "None on record."
    verdict = "no line answered no" if row.complete else "a line was answered no"
    scope = row.get_scope_display()
    return f"{day(row.at, zone)} by {row.by.name}, {scope[:1].lower()}{scope[1:]}: {verdict}."
