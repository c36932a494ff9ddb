"""Which inspections are due, what was inspected and serviced, and the hours a machine has run since."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import F, Max, Q, QuerySet, Sum

from machines.clearance.out_of_use import out_of_use
from machines.clearance.records import in_service_life, machines_for
from machines.models import Inspection, InspectionCalendar, Machine, MachineKind, Run, ServiceRecord, TagOut
from machines.reports.facts import INTERVAL_WORDS, DueState, InspectionDue, Interval
from machines.reports.inspections.lists import KindLists, lists_of
from machines.reports.rules.inspections import inspection_due
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.calendar import end_of_day, local_day
from shopsafe.school.models import Person, School, Shop
from shopsafe.school.timetable.facts import SchoolCalendar
from shopsafe.school.timetable.queries import calendar_of

LATEST = 40


@dataclass(frozen=True)
class MachineInspection:
    """One machine and one of its lists: when it was gone through last, and when it is due."""

    machine: Machine
    interval: Interval
    last: date | None
    due: InspectionDue
    kept_off: str = ""  # why the machine is kept off, such as a line that was answered no

    @property
    def often(self) -> str:
        return _(INTERVAL_WORDS[self.interval])

    @property
    def is_overdue(self) -> bool:
        return self.due.state is DueState.OVERDUE

    @property
    def waits(self) -> bool:
        return self.due.state is not DueState.NOT_DUE


def inspections_of(machines: Sequence[Machine], school: School, at: datetime) -> list[MachineInspection]:
    """Every list of these machines of one school that a teacher has set, the most overdue first. Machines that are
    tagged out are left out: before their return the whole list is gone through. Five queries, or six."""
    today, calendar = local_day(at, school.time_zone), calendar_of(school)
    lists = lists_of({machine.kind_id: machine.kind for machine in machines}.values(), at)
    off = out_of_use([machine.pk for machine in machines], at)
    last = _last_complete([machine.pk for machine in machines], at)
    rows = [
        replace(row, kept_off=off[machine.pk].reason) if machine.pk in off else row
        for machine in machines
        if not (machine.pk in off and off[machine.pk].tag_out)
        for row in _of_machine(machine, lists[machine.kind_id], last, school.time_zone, calendar, today)
    ]
    return sorted(rows, key=lambda row: (row.due.due_by or date.max, row.machine.number, row.machine.pk))


def _of_machine(
    machine: Machine,
    lists: KindLists,
    last: dict[tuple[int, str], datetime],
    zone: str,
    calendar: SchoolCalendar,
    today: date,
) -> Iterable[MachineInspection]:
    if lists.since is None:
        return
    since = local_day(max(lists.since, machine.added_at), zone)
    for interval in Interval:
        if not lists.lines(interval):
            continue
        moments = [when for scope in (interval, "return") if (when := last.get((machine.pk, scope)))]
        days = [local_day(when, zone) for when in moments]
        due = inspection_due(interval, days, since, calendar, today)
        yield MachineInspection(machine, interval, max(days, default=None), due)


def _last_complete(machines: Sequence[int], at: datetime) -> dict[tuple[int, str], datetime]:
    """(machine, scope) → the latest complete inspection."""
    rows = Inspection.objects.filter(machine__in=machines, complete=True, at__lte=at).order_by()
    return {(pk, scope): last for pk, scope, last in rows.values_list("machine", "scope").annotate(Max("at"))}


def shop_machines(person: Person, at: datetime) -> list[Machine]:
    """The machines in the shops that the person sees, shop by shop."""
    return list(in_service_life(machines_for(person), at))


def due_inspections(person: Person, at: datetime) -> list[MachineInspection]:
    """What is due or overdue in a teacher's shops, the most overdue first: for the page Today."""
    return [row for row in inspections_of(shop_machines(person, at), person.school, at) if row.waits]


def inspections_in(shop: Shop, at: datetime) -> list[MachineInspection]:
    """The inspections of one shop, for any reader."""
    machines = in_service_life(Machine.objects.filter(shop=shop).select_related("kind", "school"), at)
    return inspections_of(list(machines), shop.school, at)


def kinds_for(person: Person) -> QuerySet[MachineKind]:
    """The machine types in the shops that the person sees."""
    return MachineKind.objects.filter(machines__in=machines_for(person), school=person.school_id).distinct()


def starts_in(shop: Shop, at: datetime) -> list[MachineKind]:
    """The machine types of a shop whose lists no teacher has set yet."""
    machines = in_service_life(Machine.objects.filter(shop=shop).select_related("kind"), at)
    kinds = {machine.kind_id: machine.kind for machine in machines}
    lists = lists_of(kinds.values(), at)
    return [kind for pk, kind in kinds.items() if lists[pk].since is None]


# --- history ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class HistoryLine:
    """One thing done at a machine. `sort`: "Inspected", "Serviced", "Tagged out", "Returned to service"."""

    at: datetime
    sort: str
    says: str
    by: str
    parts: str = ""
    faults: tuple[str, ...] = ()  # lines that were answered no


@dataclass(frozen=True)
class MachineHistory:
    """`hours`: of runs since the last service, where the shop keeps runs; None without a run since."""

    lines: list[HistoryLine]
    served_on: date | None
    hours: float | None


def history_of(machine: Machine, at: datetime) -> MachineHistory:
    zone = machine.school.time_zone
    services = list(machine.services.filter(at__lte=at).select_related("by").order_by("-day", "-pk")[:LATEST])
    outs = TagOut.objects.filter(machine=machine, at__lte=at).select_related("by", "returned_by", "return_check")
    checks = Inspection.objects.filter(machine=machine, at__lte=at, tag_out=None).select_related("by")
    lines = [
        *(_service_line(row) for row in services),
        *(line for row in outs.order_by("-at", "-pk")[:LATEST] for line in _tag_out_lines(row)),
        *(_inspection_line(row) for row in checks.order_by("-at", "-pk")[:LATEST]),
    ]
    served = max(
        [row.day for row in services] + [local_day(row.returned_at, zone) for row in outs if row.returned_at],
        default=None,
    )
    return MachineHistory(
        sorted(lines, key=lambda line: line.at, reverse=True), served, hours_since(machine, served, at)
    )


def hours_since(machine: Machine, day: date | None, at: datetime) -> float | None:
    """Hours of runs that ended after `day` (all runs, if None); None if there was no run."""
    runs = Run.objects.filter(machine=machine, started_at__isnull=False, ended_at__lte=at)
    if day is not None:
        runs = runs.filter(ended_at__gte=end_of_day(day, machine.school.time_zone))
    total: timedelta | None = runs.aggregate(total=Sum(F("ended_at") - F("started_at")))["total"]
    return None if total is None else total.total_seconds() / 3600


def _service_line(row: ServiceRecord) -> HistoryLine:
    return HistoryLine(row.at, _("Serviced"), row.work, row.done_by, row.parts)


def _tag_out_lines(row: TagOut) -> Iterable[HistoryLine]:
    yield HistoryLine(row.at, _("Tagged out"), row.reason, row.by.name)
    if row.returned_at is not None and row.returned_by is not None:
        check = getattr(row, "return_check", None)
        says = row.inspection
        if check and check.reason:
            says += " " + _("Returned instead of {teacher}: {reason}", teacher=row.by.name, reason=check.reason)
        yield HistoryLine(
            row.returned_at, _("Returned to service"), says, row.returned_by.name, check.parts if check else ""
        )


def _inspection_line(row: Inspection) -> HistoryLine:
    faults = tuple(line["says"] for line in row.answers if line["answer"] == "no")
    says = f"{row.get_scope_display()}. {row.words}".strip()
    return HistoryLine(row.at, _("Inspected"), says, row.by.name, faults=faults)


# --- calendars --------------------------------------------------------------------------------------------------


def calendars_for(person: Person) -> QuerySet[InspectionCalendar]:
    """A person's own calendars that are not ended."""
    rows = InspectionCalendar.objects.filter(made_by=person, ended_at=None, shop__in=access.shops_for(person))
    return rows.select_related("shop__school")


def open_calendar(pk: int) -> InspectionCalendar | None:
    """A calendar whose maker still has access to its shop, for any reader: the address is what protects it."""
    rows = InspectionCalendar.objects.filter(pk=pk, ended_at=None, made_by__is_active=True)
    rows = rows.filter(Q(made_by__role="office") | Q(shop__teachers=F("made_by")))
    return rows.select_related("shop__school").first()
