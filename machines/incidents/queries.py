"""Which reports a person may read, what each says now, and what is still to be done about them.

Only the teachers of every student concerned, and the office. Where no student is concerned, or none is left on record,
the teachers of the shop.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery

from machines.incidents.facts import FactLine, OwnPart, ReportText, own_of, text_of
from machines.incidents.rules.report_words import OPEN, HurtPerson, ReportPeople, report_lines
from machines.models import FollowUp, Incident, IncidentAccount, IncidentPhoto, IncidentSettings, IncidentVersion
from machines.reports.rules.deadlines import KEEP_YEARS, incident_due, is_incident_overdue, keep_until
from shopsafe.language.messages import _, marked
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, School, Shop
from shopsafe.school.refusals import Refused
from shopsafe.school.templatetags.drawing import hour


def incidents_for(person: Person) -> QuerySet[Incident]:
    """The incidents whose reports this person may read."""
    rows = access.in_school(Incident.objects.select_related("shop", "school", "by"), person)
    if person.role == access.OFFICE:
        return rows
    if person.role != access.TEACHER:
        return rows.none()
    concerned = accounts_now().filter(
        version__incident=OuterRef("pk"), part=IncidentAccount.Part.CONCERNED, student__isnull=False
    )
    within_reach = access.students_for(person).values("pk")
    outside = concerned.exclude(student__in=within_reach)
    inside = concerned.filter(student__in=within_reach)
    return rows.filter(~Exists(outside)).filter(Q(shop__in=access.shops_for(person)) | Exists(inside))


def incident_for(person: Person, pk: int) -> Incident:
    return access.one_of(incidents_for(person), pk=pk)


def must_read(person: Person, incident: Incident) -> None:
    """Return if the person may read this report. Refused: access.not-yours."""
    if not incidents_for(person).filter(pk=incident.pk).exists():
        raise Refused("access.not-yours", _("This report is for the teachers of the student, and for the office."), 403)


def accounts_now() -> QuerySet[IncidentAccount]:
    """The accounts of the latest version of each report."""
    numbers = IncidentVersion.objects.filter(incident=OuterRef("version__incident")).order_by("-number")
    return IncidentAccount.objects.annotate(last=Subquery(numbers.values("number")[:1])).filter(
        version__number=F("last")
    )


def follow_ups_for(person: Person) -> QuerySet[FollowUp]:
    rows = FollowUp.objects.filter(incident__in=incidents_for(person))
    return rows.select_related("incident__shop", "school", "by", "done_by")


def photos_for(person: Person) -> QuerySet[IncidentPhoto]:
    return IncidentPhoto.objects.filter(incident__in=incidents_for(person)).select_related("file")


SORTS = {"incident": marked("Incident"), "near-miss": marked("Near miss"), "misuse": marked("Misuse")}


def _informed(person: str, time: str) -> str:
    """ "Nurse at 10:46 AM", or "Office, time not written down"."""
    if time:
        sentence = _("{person} at {time}", person=person, time=time)
    else:
        sentence = _("{person}, time not written down", person=person)
    return sentence[:1].upper() + sentence[1:]


@dataclass(frozen=True)
class WrittenReport:
    """A report as one version says it: the text for all, and each person's own part. `witnesses` are those the reader
    may see; `other_witnesses` counts the rest."""

    incident: Incident
    version: IncidentVersion
    text: ReportText
    accounts: tuple[IncidentAccount, ...]
    witnesses: tuple[Person, ...]
    other_witnesses: int

    @property
    def concerned(self) -> list[Person]:
        return [row.student for row in self.accounts if row.student]

    @property
    def own(self) -> list[tuple[IncidentAccount, OwnPart]]:
        return [(row, own_of(row.content)) for row in self.accounts]

    @property
    def lines(self) -> list[FactLine]:
        """What was written, in words; of a report that was erased, that it was."""
        machine = str(self.version.machine or "")
        if self.is_erased:
            return [FactLine(_("Machine"), machine or _(OPEN)), FactLine(_("Who"), _("The record was erased."))]
        hurt = [
            HurtPerson(str(row.student or ""), row.get_hurt_display() if row.hurt else "", own) for row, own in self.own
        ]
        names = [person.name for person in self.concerned]
        people = ReportPeople(hurt, names, [person.name for person in self.witnesses], self.other_witnesses)
        informed = [_informed(_(whom), hour(at) if at else "") for whom, at in self.text.informed]
        return list(report_lines(self.text, machine, people, informed))

    @property
    def is_injury(self) -> bool:
        return any(row.is_injury for row in self.accounts)

    @property
    def may_be_injury(self) -> bool:
        """No one has written yet whether it hurt: until then it counts as an injury."""
        return self.version.sort == IncidentVersion.Sort.INCIDENT and any(row.hurt == "" for row in self.accounts)

    @property
    def day(self) -> date:
        return local_day(self.version.happened_at, self.incident.school.time_zone)

    @property
    def is_erased(self) -> bool:
        """Whether nothing is left of what was written, since the records of all concerned are erased."""
        return not self.accounts


def versions_of(incident: Incident, reader: Person) -> list[WrittenReport]:
    """Every version, the latest first. Accounts of students whom the reader may not see are left out. Four queries."""
    versions = incident.versions.select_related("by", "machine__kind", "machine__shop").order_by("-number")
    rows = IncidentAccount.objects.filter(version__incident=incident).select_related("student__school").order_by("pk")
    within_reach = set(
        access.students_for(reader).filter(incident_accounts__version__incident=incident).values_list("pk", flat=True)
    )
    by_version: dict[int, list[IncidentAccount]] = {}
    for row in rows:
        by_version.setdefault(row.version_id, []).append(row)
    return [_written(incident, version, by_version.get(version.pk, []), within_reach) for version in versions]


def _written(
    incident: Incident, version: IncidentVersion, rows: Iterable[IncidentAccount], within_reach: set[int]
) -> WrittenReport:
    concerned = [row for row in rows if row.part == IncidentAccount.Part.CONCERNED]
    seen = tuple(row for row in concerned if row.student_id is None or row.student_id in within_reach)
    witnesses = [row for row in rows if row.part == IncidentAccount.Part.WITNESS]
    shown = tuple(row.student for row in witnesses if row.student and row.student_id in within_reach)
    text = text_of(seen[0].content) if seen else ReportText()
    return WrittenReport(incident, version, text, seen, shown, len(witnesses) - len(shown))


def report_now(incident: Incident, reader: Person) -> WrittenReport:
    return versions_of(incident, reader)[0]


def settings_of(school: School) -> IncidentSettings:
    """What the school set, or what every school starts with."""
    return IncidentSettings.objects.filter(school=school).first() or IncidentSettings(school=school)


@dataclass(frozen=True)
class ReportDates:
    """When a report is due and until when it is kept. `keep_is_set`: the school has said how long."""

    due: date
    keep: date
    overdue: bool
    keep_is_set: bool


def dates_of(day: date, school: School, settings: IncidentSettings, today: date) -> ReportDates:
    years = school.keep_years_injury
    return ReportDates(
        incident_due(day, settings.due_days),
        keep_until(day, years or KEEP_YEARS),
        is_incident_overdue(day, today, settings.due_days),
        years is not None,
    )


@dataclass(frozen=True)
class IncidentLine:
    """One incident in a list, as its latest version says it."""

    incident: Incident
    version: IncidentVersion
    concerned: tuple[Person, ...]
    dates: ReportDates

    @property
    def name(self) -> str:
        """ "Near miss at band saw 2"."""
        incident = _(SORTS[self.version.sort])
        if self.version.machine is None:
            return incident
        return _("{incident} at {machine}", incident=incident, machine=self.version.machine.spoken)


@dataclass(frozen=True)
class OpenIncidents:
    """What waits for a teacher: reports that are not complete, those due first, and follow-ups that are not done."""

    reports: list[IncidentLine]
    follow_ups: list[FollowUp]

    def __bool__(self) -> bool:
        return bool(self.reports or self.follow_ups)


def lines_for(person: Person, at: datetime) -> list[IncidentLine]:
    """The reports that a person may read, the latest first. Four queries, however many there are."""
    return _lines_of(incidents_for(person), person.school, at)


def lines_of_shop(shop: Shop, at: datetime) -> list[IncidentLine]:
    """Every report of a shop, for a command on the server."""
    return _lines_of(Incident.objects.filter(shop=shop), shop.school, at)


def undone_in(shop: Shop) -> QuerySet[FollowUp]:
    return FollowUp.objects.filter(incident__shop=shop, done_at=None).order_by("at", "pk")


def _lines_of(incidents: QuerySet[Incident], school: School, at: datetime) -> list[IncidentLine]:
    today, settings = local_day(at, school.time_zone), settings_of(school)
    rows = IncidentVersion.objects.filter(incident__in=incidents).order_by("number")
    latest = {row.incident_id: row for row in rows.select_related("incident__shop", "machine__kind", "by")}
    concerned: dict[int, list[Person]] = {}
    accounts = IncidentAccount.objects.filter(
        version__in=[row.pk for row in latest.values()], part=IncidentAccount.Part.CONCERNED
    )
    for account in accounts.select_related("student").order_by("pk"):
        if account.student:
            concerned.setdefault(account.version_id, []).append(account.student)
    return _lines(latest.values(), concerned, school, settings, today)


def open_incidents(person: Person, at: datetime) -> OpenIncidents:
    """For Today: what is still to be done about incidents in this person's sight. Five queries."""
    return waiting_of(lines_for(person, at), person)


def waiting_of(lines: Iterable[IncidentLine], person: Person) -> OpenIncidents:
    waiting = [line for line in lines if not line.version.is_complete]
    undone = follow_ups_for(person).filter(done_at=None).order_by(F("day").asc(nulls_last=True), "at")
    return OpenIncidents(sorted(waiting, key=lambda line: (line.dates.due, line.incident.pk)), list(undone))


def _lines(
    versions: Iterable[IncidentVersion],
    concerned: dict[int, list[Person]],
    school: School,
    settings: IncidentSettings,
    today: date,
) -> list[IncidentLine]:
    lines = [
        IncidentLine(
            version.incident,
            version,
            tuple(concerned.get(version.pk, ())),
            dates_of(local_day(version.happened_at, school.time_zone), school, settings, today),
        )
        for version in versions
    ]
    return sorted(lines, key=lambda line: (line.version.happened_at, line.incident.pk), reverse=True)
