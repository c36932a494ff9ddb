"""A report is begun, and gone on with: each saving is a version, and none is overwritten."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError
from django.http import Http404

from machines.clearance.rules.wording import clock_text
from machines.incidents.known.moment import digest_of, known_about_machine, known_about_students
from machines.incidents.queries import must_read
from machines.incidents.report import Report, missing_in
from machines.models import Incident, IncidentAccount, IncidentVersion, Machine, TagOut
from shopsafe.act import act
from shopsafe.language.messages import _, stored
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Entry
from shopsafe.school.access import Deed, allow, students_for
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Shop
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

DEED: Deed = "record an incident"
KEPT_OFF = stored("Incident. To be looked at before anyone uses it.")


def open_incident(*, shop: Shop, report: Report, by: Person, tap: UUID, at: datetime | None = None) -> Incident:
    """Begin the report of what happened in `shop`. What the records said at that moment is frozen with it. The machine
    of an incident is tagged out; that of a near miss or misuse where `keep_off` asks for it. A `tap` sent again gives
    the same incident.

    Refused: access.not-yours, incident.tap-used, .removed, .no-one, .not-yours, .other-shop, .in-future,
    .not-complete.
    """
    return _open(shop, report, by, tap, at).incident


@act
def _open(shop: Shop, report: Report, by: Person, tap: UUID, at: datetime | None) -> IncidentVersion:
    allow(by, DEED, shop=shop)
    _lock(shop, report)
    at = act_moment(shop.school_id, at)
    if is_repeated(tap, "incident", by=by, at=at, asked=report.asked() | {"shop": shop.pk}):
        return IncidentVersion.objects.select_related("incident").get(tap=tap)
    _is_valid(report, shop, by, at)
    incident = Incident.objects.create(school_id=shop.school_id, shop=shop, by=by, at=at)
    version = _write(incident, report, 1, by, tap, at)
    incident.entry = _enter("incident.opened", version, by, at)
    version.entry = incident.entry
    incident.save(update_fields=["entry"])
    version.save(update_fields=["entry"])
    _write_accounts(version, report, by, at)
    if report.keep_off or report.sort == IncidentVersion.Sort.INCIDENT:
        _keep_off(report.machine, by, at)
    return version


def write_report(
    *, incident: Incident, report: Report, seen: int, by: Person, tap: UUID, at: datetime | None = None
) -> IncidentVersion:
    """Add a version to the report. `seen` is the number of the version that the page showed: if another was saved
    since, nothing is written. A `tap` sent again gives the same version.

    Refused: access.not-yours, incident.tap-used, .removed, .changed, .no-one, .not-yours, .other-shop, .in-future,
    .not-complete.
    """
    try:
        return _add_version(incident, report, seen, by, tap, at)
    except IntegrityError as race:  # the lock lets no one come this far; the constraint stands behind it
        raise _changed(incident) from race


@act
def _add_version(
    incident: Incident, report: Report, seen: int, by: Person, tap: UUID, at: datetime | None
) -> IncidentVersion:
    allow(by, DEED)
    must_read(by, incident)
    _lock(incident, report)
    at = act_moment(incident.school_id, at)
    asked = report.asked() | {"incident": incident.pk, "seen": seen}
    if is_repeated(tap, "incident", by=by, at=at, asked=asked):
        return IncidentVersion.objects.get(tap=tap)
    latest = IncidentVersion.objects.filter(incident=incident).order_by("number").last()
    if latest is None or latest.number != seen:
        raise _changed(incident)
    _is_valid(report, incident.shop, by, at)
    version = _write(incident, report, seen + 1, by, tap, at, latest)
    version.entry = _enter("incident.written", version, by, at)
    version.save(update_fields=["entry"])
    _write_accounts(version, report, by, at, latest)
    if report.keep_off:
        _keep_off(report.machine, by, at)
    return version


def _lock(place: Shop | Incident, report: Report) -> None:
    """A student who was removed after the page was opened is refused: a 404 would lose what was written."""
    try:
        lock(place, *_rows_of(report))
    except Http404 as gone:
        sentence = _(
            "A student you chose was removed in the meantime, as entered by mistake. Choose the student again."
        )
        raise Refused("incident.removed", sentence, 422) from gone


def _rows_of(report: Report) -> list[Any]:
    people = {student.pk: student for student in (*report.concerned, *report.witnesses)}
    return [*people.values(), *([report.machine] if report.machine else [])]


def _changed(incident: Incident) -> Refused:
    latest = incident.versions.select_related("by", "school").order_by("number").last()
    if latest is None:
        return Refused("incident.changed", _("Someone else changed this report. Open it again."))
    when = clock_text(latest.at, latest.school.time_zone)
    return Refused(
        "incident.changed",
        _(
            "{person} saved this report on {when}, after you opened this page. What you wrote is "
            "still here, and is not saved yet. Compare it with the saved report below, then save "
            "again.",
            person=latest.by.name,
            when=when,
        ),
    )


def _is_valid(report: Report, shop: Shop, by: Person, at: datetime) -> None:
    text = report.text
    if not report.concerned and not text.other_person and report.sort == IncidentVersion.Sort.INCIDENT:
        raise Refused("incident.no-one", _("Who was it? Choose a student, or write who else it was."), 422)
    named = {student.pk for student in (*report.concerned, *report.witnesses)}
    if students_for(by).filter(pk__in=named).count() != len(named):
        raise Refused("incident.not-yours", _("A student you chose is in none of your classes."), 403)
    if report.machine and report.machine.shop_id != shop.pk:
        raise Refused(
            "incident.other-shop", _("{machine} is not a machine of {shop}.", machine=report.machine, shop=shop), 422
        )
    if report.happened_at > at:
        raise Refused("incident.in-future", _("The time lies ahead. Enter when it happened."), 422)
    if report.wants_complete and (left := missing_in(report)):
        raise Refused(
            "incident.not-complete",
            _("Still to fill in: {parts}. Or save it and finish later.", parts=", ".join(left)),
            422,
        )


def _write(
    incident: Incident,
    report: Report,
    number: int,
    by: Person,
    tap: UUID,
    at: datetime,
    before: IncidentVersion | None = None,
) -> IncidentVersion:
    """The row of a version. The facts of the moment are taken once: they stay as long as machine and moment do."""
    if before and _is_same_moment(before, report):
        known = before.known
    else:
        known = known_about_machine(report.machine, incident.shop, report.happened_at)
    return IncidentVersion.objects.create(
        school_id=incident.school_id,
        incident=incident,
        number=number,
        sort=report.sort,
        machine=report.machine,
        happened_at=report.happened_at,
        is_complete=report.wants_complete,
        known=known,
        digest=digest_of(known),
        by=by,
        at=at,
        tap=tap,
    )


def _is_same_moment(before: IncidentVersion, report: Report) -> bool:
    machine = report.machine.pk if report.machine else None
    return before.machine_id == machine and before.happened_at == report.happened_at


def _write_accounts(
    version: IncidentVersion, report: Report, by: Person, at: datetime, before: IncidentVersion | None = None
) -> None:
    """One account a student, each with an entry of its own; one without a student where none is concerned."""
    kept = {}
    if before and _is_same_moment(before, report):
        kept = {
            row.student_id: row.known
            for row in before.accounts.filter(part=IncidentAccount.Part.CONCERNED)
            if row.student_id
        }
    new = [student for student in report.concerned if student.pk not in kept]
    known = kept | known_about_students(new, report.machine, version.incident.shop, report.happened_at)
    nothing = {"moment": version.known["moment"], "lines": []}
    concerned: Sequence[Person | None] = report.concerned or [None]
    for student in concerned:
        own = report.own_part(student)
        content = report.text.as_content() | own.as_content()
        facts = known[student.pk] if student else nothing
        _account(version, student, IncidentAccount.Part.CONCERNED, own.hurt, content, facts, by, at)
    for student in [*report.witnesses, *_unseen_witnesses(before, by)]:
        if student not in report.concerned:
            _account(version, student, IncidentAccount.Part.WITNESS, "", {}, nothing, by, at)


def _unseen_witnesses(before: IncidentVersion | None, by: Person) -> Sequence[Person]:
    """The witnesses of the version before whom this writer may not see: the writer's page can't name them again."""
    if before is None:
        return []
    rows = (
        before.accounts.filter(part=IncidentAccount.Part.WITNESS)
        .exclude(student__in=students_for(by))
        .select_related("student")
    )
    return [row.student for row in rows.order_by("pk") if row.student]


def _account(
    version: IncidentVersion,
    student: Person | None,
    part: str,
    hurt: str,
    content: dict[str, Any],
    known: dict[str, Any],
    by: Person,
    at: datetime,
) -> None:
    row = IncidentAccount.objects.create(
        school_id=version.school_id,
        version=version,
        student=student,
        part=part,
        hurt=hurt,
        content=content,
        known=known,
        digest=digest_of(known),
    )
    about = {"student": student.as_record()} if student else {}
    payload = {
        **about,
        **_named(version, by),
        "account": row.pk,
        "part": part,
        "hurt": hurt,
        "content": content,
        "known": known,
        "digest": row.digest,
    }
    row.entry = append(kind="incident.account", school=row.school_id, at=at, payload=payload)
    row.save(update_fields=["entry"])


def _named(version: IncidentVersion, by: Person) -> dict[str, Any]:
    shop = version.incident.shop
    machine = {"machine": version.machine.as_record()} if version.machine else {}
    return {
        **machine,
        "shop": {"id": shop.pk, "name": shop.name},
        "by": by.as_record(),
        "incident": version.incident_id,
        "version": version.pk,
        "number": version.number,
        "sort": version.sort,
        "happened_at": version.happened_at,
    }


def _enter(kind: str, version: IncidentVersion, by: Person, at: datetime) -> Entry:
    payload = _named(version, by) | {
        "complete": version.is_complete,
        "known": version.known,
        "digest": version.digest,
    }
    return append(kind=kind, school=version.school_id, at=at, payload=payload)


def _keep_off(machine: Machine | None, by: Person, at: datetime) -> None:
    """Tag the machine out, unless it is tagged out already: after an incident no one uses it before a teacher looked.

    The same row and entry as those of a tag-out by hand, in this act's own transaction: an act never calls an act.
    """
    if machine is None or machine.retired_at is not None:
        return
    if TagOut.objects.filter(machine=machine, returned_at=None).exists():
        return
    row = TagOut.objects.create(school_id=machine.school_id, machine=machine, reason=KEPT_OFF, by=by, at=at)
    payload = {"machine": machine.as_record(), "by": by.as_record(), "tag_out": row.pk, "reason": KEPT_OFF}
    row.entry = append(kind="machine.tagged_out", school=machine.school_id, at=at, payload=payload)
    row.save(update_fields=["entry"])
