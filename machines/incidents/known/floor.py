"""What the floor knew at the moment of an incident: the shop, the run, the check before use. Nothing without runs."""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Q, QuerySet

from machines.clearance.rules.wording import time_of_day
from machines.incidents.facts import FactLine
from machines.models import FloorSettings, Machine, PresenceConfirmation, Run, ShopOpening
from shopsafe.school.calendar import local_day, start_of_day
from shopsafe.school.models import Person, Shop

NO_RUNS = FactLine("Run", "Runs are not kept in this shop.")


def shop_lines(shop: Shop, machine: Machine | None, at: datetime) -> tuple[FactLine, ...]:
    """The shop at `at`, without any student."""
    if not _keeps_runs(shop):
        return ()
    zone = shop.school.time_zone
    opening = ShopOpening.objects.filter(shop=shop, opened_at__lte=at).filter(Q(closed_at=None) | Q(closed_at__gt=at))
    opened = opening.select_related("section", "opened_by").order_by("opened_at").last()
    if opened is None:
        return (FactLine("Shop", "Not open."),)
    seen = PresenceConfirmation.objects.filter(opening=opened, at__lte=at).select_related("by").order_by("pk").last()
    words = f"Open since {time_of_day(opened.opened_at, zone)}"
    words += f" for {opened.section.name}" if opened.section else ""
    if seen:
        words += f". {seen.by.name} confirmed being in the room at {time_of_day(seen.at, zone)}"
    others = _running(at).filter(machine__shop=shop).exclude(machine=machine).count()
    return FactLine("Shop", f"{words}."), FactLine("Other machines in use", str(others) if others else "None.")


def run_lines(students: Sequence[Person], shop: Shop, at: datetime) -> dict[int, tuple[FactLine, ...]]:
    """Student → the run that was open at `at`, or else the last one of that day, and its check before use."""
    if not _keeps_runs(shop):
        return {student.pk: (NO_RUNS,) for student in students}
    midnight = start_of_day(local_day(at, shop.school.time_zone), shop.school.time_zone)
    rows = Run.objects.filter(student__in=students, given_at__lte=at, given_at__gte=midnight).order_by("given_at", "pk")
    latest = {row.student_id: row for row in rows.select_related("machine__kind", "given_by", "checked_by")}
    return {student.pk: _run(latest.get(student.pk), shop.school.time_zone, at) for student in students}


def _run(run: Run | None, zone: str, at: datetime) -> tuple[FactLine, ...]:
    if run is None:
        return (FactLine("Run", "Had no machine that day."),)
    given = f"{run.machine}, given by {run.given_by.name} at {time_of_day(run.given_at, zone)}"
    text = f"At {given}."
    if run.ended_at is not None and run.ended_at <= at:
        text = f"Was at {given}, and stopped at {time_of_day(run.ended_at, zone)}."
    return FactLine("Run", text), FactLine("Check before use", _check(run, zone, at))


def _check(run: Run, zone: str, at: datetime) -> str:
    if run.started_at is None or run.started_at > at:
        return "Not done."
    by = run.checked_by.name if run.checked_by else "the student"
    lines = "; ".join(str(line).rstrip(".") for line in run.checks)
    return f"Done at {time_of_day(run.started_at, zone)} by {by}" + (f": {lines}." if lines else ".")


def _keeps_runs(shop: Shop) -> bool:
    return FloorSettings.objects.filter(shop=shop, keeps_runs=True).exists()


def _running(at: datetime) -> QuerySet[Run]:
    return Run.objects.filter(started_at__lte=at).filter(Q(ended_at=None) | Q(ended_at__gt=at))
