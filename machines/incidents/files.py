"""Files of a report: the printable report, and the hand-over file with the evidence of the people concerned."""

import base64
from datetime import datetime
from enum import StrEnum

from machines.evidence import file as evidence
from machines.evidence.acts import export_record
from machines.incidents.acts.hand_over import note_hand_over
from machines.incidents.queries import (
    WrittenReport,
    dates_of,
    follow_ups_for,
    photos_for,
    report_now,
    settings_of,
    versions_of,
)
from machines.models import Incident
from shopsafe.conventions import written_day
from shopsafe.language.messages import _, marked
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.paper.press.render import as_html, print_htmls
from shopsafe.paper.rules.sheets import LETTER
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person


class ReportFile(StrEnum):
    """What a report is made into, as the page asks for it."""

    REPORT = "report"
    HAND_OVER = "hand-over"


NAMES = {ReportFile.REPORT: marked("report"), ReportFile.HAND_OVER: marked("hand-over file")}
ARCHIVE = "pdf/a-3a"  # the form of PDF that may carry files


def file_name(form: ReportFile, incident: Incident) -> str:
    return _("Incident {incident} {form}.pdf", incident=incident.pk, form=_(NAMES[form]))


def make(form: ReportFile, incident: Incident, *, by: Person, at: datetime) -> bytes:
    """The PDF. The logbook says that it was made, and for whom evidence was taken out, before it is drawn."""
    report = report_now(incident, by)
    note_hand_over(incident=incident, form=NAMES[form], by=by)
    if form is ReportFile.REPORT:
        return print_htmls([report_sheets(report, by, at)])
    for student in report.concerned:
        export_record(student=student, by=by, form="PDF")
    take_checkpoint()
    return hand_over(report, by, at)


def hand_over(report: WrittenReport, by: Person, at: datetime) -> bytes:
    """The report, then the evidence file of each student concerned; each one's record is carried inside as JSON."""
    sheets, inside = [report_sheets(report, by, at, parts=[student.name for student in report.concerned])], []
    for number, student in enumerate(report.concerned, 1):
        whole = evidence.evidence_file(student)
        name = "evidence.json" if len(report.concerned) == 1 else f"evidence-{number}.json"
        inside.append(evidence.attached(whole, at, name))
        sheets.append(evidence.as_sheets(whole, student, at))
    return print_htmls(sheets, variant=ARCHIVE, inside=inside)


def report_sheets(report: WrittenReport, by: Person, at: datetime, parts: list[str] | None = None) -> str:
    incident, school = report.incident, report.incident.school
    context = {
        "report": report,
        "versions": versions_of(incident, by),
        "dates": dates_of(report.day, school, settings_of(school), local_day(at, school.time_zone)),
        "follow_ups": list(follow_ups_for(by).filter(incident=incident)),
        "photos": [
            _photo(bytes(row.file.content)) for row in photos_for(by).filter(incident=incident, file__isnull=False)
        ],
        "parts": parts or [],
        "zone": school.time_zone,
        "by": by,
        "at": at,
        "paper": LETTER,
        "cells": [
            (
                _("Incident report"),
                _("{incident}, version {number}", incident=incident.pk, number=report.version.number),
            ),
            (_("Shop"), incident.shop.name),
            (_("Printed"), written_day(local_day(at, school.time_zone))),
        ],
    }
    return as_html(
        "machines/paper/incident_report.html", context, title=_("Incident report {incident}", incident=incident.pk)
    )


def _photo(content: bytes) -> str:
    return f"data:image/webp;base64,{base64.b64encode(content).decode()}"
