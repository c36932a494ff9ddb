"""The page of one report: what it says, what the records said then, what is left, and what was done about it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from machines.clearance.records import holds_in_force, tagged_out
from machines.incidents.forms import FollowUpForm, PhotoForm
from machines.incidents.known.moment import digest_of
from machines.incidents.queries import WrittenReport, dates_of, follow_ups_for, photos_for, settings_of, versions_of
from machines.incidents.rules.missing import missing
from machines.models import Hold, Incident, IncidentVersion, TagOut
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.people.classes import section_with

# Why a student is held after a report of this sort; a teacher may choose another reason. A near miss suggests none.
HOLD_REASONS = {
    IncidentVersion.Sort.INCIDENT.value: Hold.Reason.INJURY.value,
    IncidentVersion.Sort.MISUSE.value: Hold.Reason.MISUSE.value,
}


@dataclass(frozen=True)
class ConcernedNow:
    """A student of the report: the hold in force, or the class in which one can be placed."""

    student: Person
    hold: Hold | None
    section: Section | None


def report_page(incident: Incident, reader: Person, at: datetime) -> dict[str, Any]:
    versions = versions_of(incident, reader)
    report, today = versions[0], local_day(at, incident.school.time_zone)
    tag_out_row = _tag_out(report, at)
    return {
        "incident": incident,
        "report": report,
        "versions": versions,
        "left": left_in(report),
        "dates": dates_of(report.day, incident.school, settings_of(incident.school), today),
        "out": tag_out_row,
        "hold_query": hold_query(report),
        "may_tag_out": reader.is_teacher and report.version.machine is not None and tag_out_row is None,
        "concerned": concerned_now(report, reader, at),
        "photos": [photo for photo in photos_for(reader) if photo.incident_id == incident.pk],
        "follow_ups": list(follow_ups_for(reader).filter(incident=incident)),
        "photo_form": PhotoForm(),
        "follow_up_form": FollowUpForm(),
        "intact": is_intact(report),
    }


def hold_query(report: WrittenReport) -> str:
    """What the page of a hold is asked to suggest: the reason, the machine and the report; and the way back."""
    key, machine = report.incident.pk, report.version.machine
    suggested = {"report": key, "next": reverse("incident", args=[key])}
    suggested |= {"reason": reason} if (reason := HOLD_REASONS.get(report.version.sort)) else {}
    return urlencode(suggested | ({"machine": machine.pk} if machine else {}), safe="/")


def left_in(report: WrittenReport) -> list[str]:
    """What is still to be filled in."""
    if report.is_erased:
        return []
    own = {row.student.short_name if row.student else "": part for row, part in report.own}
    named = {"": next(iter(own.values()))} if len(own) == 1 else own
    if not report.concerned and not report.text.other_person:
        named = {}
    return missing(report.text, named, has_machine=report.version.machine is not None)


def is_intact(report: WrittenReport) -> bool:
    """Whether the facts of the moment still give the digest that was frozen with them."""
    parts = [(report.version.known, report.version.digest), *((row.known, row.digest) for row in report.accounts)]
    return all(digest_of(known) == digest for known, digest in parts)


def concerned_now(report: WrittenReport, reader: Person, at: datetime) -> list[ConcernedNow]:
    people = report.concerned
    day = local_day(at, report.incident.school.time_zone)
    holds = {hold.student_id: hold for hold in holds_in_force([student.pk for student in people], day, at)}
    shop = report.incident.shop_id
    return [ConcernedNow(student, holds.get(student.pk), section_with(reader, student, shop, at)) for student in people]


def _tag_out(report: WrittenReport, at: datetime) -> TagOut | None:
    machine = report.version.machine
    return tagged_out([machine.pk], at).get(machine.pk) if machine else None
