"""The evidence file of one student: the logbook's own file, and the same as sheets to read and print.

What is proved is the JSON; the sheets are made from it and carry it inside.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from django.conf import settings
from django.urls import reverse

from machines.evidence.printed import Digest, asked_lefts, details, digests, numbered_points, options_of
from machines.evidence.run_sums import IN_SUM, run_sums
from quizzes.banks.editions.redraw import RedrawnPictures, drawings
from shopsafe.conventions import written_day
from shopsafe.language.messages import _, marked
from shopsafe.logbook import queries, sentences
from shopsafe.logbook.evidence import BrokenRecord, evidence
from shopsafe.logbook.rules import chain, subjects
from shopsafe.paper.press.render import Attachment, as_html, print_htmls
from shopsafe.paper.rules.sheets import LETTER
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

# The first word of a kind → the heading it stands under, in this order. What is in none stands under OTHER.
HEADINGS = {
    "agreement": marked("Documents"),
    "document": marked("Documents"),
    "accommodation": marked("Quizzes and rules"),
    "attempt": marked("Quizzes and rules"),
    "rule": marked("Quizzes and rules"),
    "signoff": marked("Demonstrations and sign-offs"),
    "hold": marked("Holds"),
    "incident": marked("Reports"),
    "report": marked("Reports"),
}
NOTHING = RedrawnPictures()
OTHER = marked("Classes, slips and the rest")


@dataclass(frozen=True)
class EvidenceEntry:
    """One entry on the sheets. `questions` and `points` are what was shown and done; `more` is the rest of it. `hash`
    and `digests` are on the last page."""

    seq: int
    at: datetime
    sentence: str
    hash: str
    questions: list[dict[str, Any]]
    points: str
    more: str
    digests: list[Digest]


@dataclass(frozen=True)
class EvidenceSection:
    heading: str
    entries: list[EvidenceEntry]


def evidence_file(student: Person) -> dict[str, Any]:
    """The evidence up to the latest checkpoint. Refused: evidence.no-checkpoint, evidence.broken."""
    checkpoint = queries.latest_checkpoint()
    if checkpoint is None:
        raise Refused("evidence.no-checkpoint", _("No checkpoint of the logbook has been taken yet."))
    try:
        return evidence(subjects.person(student.pk), subject=student.as_record(), checkpoint=checkpoint)
    except BrokenRecord as broken:
        raise Refused(
            "evidence.broken", _("The logbook does not hold. {fault} Tell the office.", fault=broken)
        ) from broken


def as_json(whole: dict[str, Any]) -> bytes:
    return json.dumps(whole, ensure_ascii=False, indent=1).encode()


def sections(whole: dict[str, Any], zone: str, redrawn_pictures: RedrawnPictures = NOTHING) -> list[EvidenceSection]:
    order = {heading: place for place, heading in enumerate([*HEADINGS.values(), OTHER])}
    apart = [entry for entry in whole["entries"] if first_word(entry) not in IN_SUM]
    entries = sorted(apart, key=lambda entry: (order[heading_of(entry)], entry["seq"]))
    return [
        EvidenceSection(_(heading), evidence_entries(these, zone, redrawn_pictures))
        for heading, these in groupby(entries, heading_of)
    ]


def heading_of(entry: dict[str, Any]) -> str:
    return HEADINGS.get(first_word(entry), OTHER)


def first_word(entry: dict[str, Any]) -> str:
    """ "signoff" of signoff.made; of an entry that was written again, the kind it had first."""
    kind = entry["kind"]
    if kind == chain.RESTATED:
        kind = json.loads(entry["payload"])["restates"]["kind"]
    return str(kind).split(".")[0]


def evidence_entries(
    entries: Iterable[dict[str, Any]], zone: str, redrawn_pictures: RedrawnPictures = NOTHING
) -> list[EvidenceEntry]:
    described_entries = []
    for entry in entries:
        payload = json.loads(entry["payload"])
        points = payload.get("points", [])
        described_entries.append(
            EvidenceEntry(
                seq=entry["seq"],
                at=datetime.fromisoformat(entry["at"]),
                sentence=sentences.sentence(entry["kind"], payload),
                hash=entry["hash"],
                questions=[
                    question
                    | {
                        "options": options_of(question),
                        "lefts": asked_lefts(question),
                        "drawn": redrawn_pictures.of(payload, question),
                    }
                    for question in payload.get("questions", [])
                ],
                points=numbered_points(points) if isinstance(points, list) else "",
                more=details(payload, zone),
                digests=digests(payload),
            )
        )
    return described_entries


def as_pdf(whole: dict[str, Any], student: Person, at: datetime) -> bytes:
    """PDF/A-3a, tagged, with the JSON inside as `evidence.json`. Drawings are on the sheets alone: the JSON names
    them by their digests."""
    return print_htmls([as_sheets(whole, student, at)], variant="pdf/a-3a", inside=attached(whole, at, "evidence.json"))


def attached(whole: dict[str, Any], at: datetime, name: str) -> Attachment:
    return Attachment(name, as_json(whole), _("The record this file was made from"), at)


def as_sheets(whole: dict[str, Any], student: Person, at: datetime) -> str:
    """The sheets as HTML: for a file of their own, or behind a report."""
    redrawn_pictures = drawings((json.loads(entry["payload"]) for entry in whole["entries"]), student.school_id)
    zone = student.school.time_zone
    sections_printed = sections(whole, zone, redrawn_pictures)
    context = {
        "whole": whole,
        "student": student,
        "run_sums": run_sums(whole["entries"]),
        "sections": sections_printed,
        "proofs": sorted(
            (entry for section in sections_printed for entry in section.entries), key=lambda entry: entry.seq
        ),
        "zone": zone,
        "at": at,
        "checker": f"{settings.SITE_URL}{reverse('evidence-checker')}",
        "paper": LETTER,
        "cells": [
            (_("Evidence file"), student.name),
            (_("School"), student.school.name),
            (_("Made"), written_day(local_day(at, zone))),
        ],
        "checkpoint_at": datetime.fromisoformat(whole["checkpoint"]["at"]),
    }
    return as_html("machines/paper/evidence.html", context, title=_("Evidence file: {student}", student=student.name))
