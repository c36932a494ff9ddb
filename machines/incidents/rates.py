"""Incidents per 1000 hours of runs, by machine and by machine type. Counted for machines, never for students."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import DurationField, ExpressionWrapper, F, Min, OuterRef, Subquery, Sum

from machines.models import FloorSettings, IncidentVersion, Machine, Run
from machines.reports.facts import IncidentRate
from machines.reports.rules.rates import incident_rate
from shopsafe.school.models import Shop

HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class MachineRate:
    """A machine, or with `is_type` all machines of a type in these shops. Near misses are counted, and no more."""

    name: str
    is_type: bool
    rate: IncidentRate
    near_misses: int


@dataclass(frozen=True)
class _Counted:
    machine: Machine
    hours: float
    incidents: int
    near_misses: int


def rates_of(shops: Iterable[Shop], at: datetime) -> list[MachineRate]:
    """Each machine type with its machines. Only shops that keep runs, and only what happened since a machine's first
    run: there is nothing to divide by before it. Three queries."""
    keeping = FloorSettings.objects.filter(shop__in=list(shops), keeps_runs=True).values("shop")
    ran = Run.objects.filter(machine__shop__in=keeping, started_at__isnull=False, ended_at__lte=at)
    length = ExpressionWrapper(F("ended_at") - F("started_at"), output_field=DurationField())
    hours = {
        machine: (since, total / HOUR)
        for machine, since, total in ran.values_list("machine").annotate(since=Min("started_at"), total=Sum(length))
    }
    events = _events(hours.keys(), {machine: since for machine, (since, _) in hours.items()})
    machines = Machine.objects.filter(pk__in=hours).select_related("kind").order_by("kind__name", "number", "pk")
    counted = [
        _Counted(machine, hours[machine.pk][1], events[machine.pk, "incident"], events[machine.pk, "near-miss"])
        for machine in machines
    ]
    return [rate for kind in dict.fromkeys(row.machine.kind for row in counted) for rate in _of_type(kind.pk, counted)]


def _of_type(kind: int, counted: list[_Counted]) -> list[MachineRate]:
    rows = [row for row in counted if row.machine.kind_id == kind]
    whole = incident_rate(sum(row.incidents for row in rows), sum(row.hours for row in rows))
    rates = (
        [MachineRate(rows[0].machine.kind.spoken, True, whole, sum(row.near_misses for row in rows))] if whole else []
    )
    for row in rows:
        if rate := incident_rate(row.incidents, row.hours):
            rates.append(MachineRate(str(row.machine), False, rate, row.near_misses))
    return rates


def _events(machines: Iterable[int], since: dict[int, datetime]) -> Counter[tuple[int, str]]:
    """(machine, sort) → how many, by the latest version of each report."""
    latest = IncidentVersion.objects.filter(incident=OuterRef("incident")).order_by("-number").values("number")[:1]
    rows = IncidentVersion.objects.filter(machine__in=list(machines), number=Subquery(latest))
    counts: Counter[tuple[int, str]] = Counter()
    for machine, sort, happened_at in rows.values_list("machine", "sort", "happened_at"):
        if machine is not None and happened_at >= since[machine]:
            counts[machine, sort] += 1
    return counts
