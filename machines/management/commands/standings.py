"""`manage.py standings CLASS [--at ISO]`: who may use what, and why not, as JSON."""

import json
from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.core.management.base import CommandError

from machines.clearance.facts import ClearanceResult
from machines.clearance.queries import Matrix, standings_for_section
from machines.register.moments import read_moment
from shopsafe.conventions import conventions_in_use
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.lookup import section_by_pk_or_name
from shopsafe.school.models import Section
from shopsafe.school.refusals import Refused


class Command(TranslatedCommand):
    help = marked(
        "Prints the standing of every student of a class on every machine of its shop, with the reasons, as JSON."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("section", metavar="CLASS", help=_("the class's number or name"))
        parser.add_argument("--at", help=_("a moment (2026-11-03T10:40) or a day's end (2026-11-03); now if left out"))

    def handle(self, **options: Any) -> None:
        try:
            section = section_by_pk_or_name(options["section"])
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        at = moment(options["at"], section) if options["at"] else school_moment(section.school_id)
        with conventions_in_use(section.school.conventions):
            answer = as_json(section, standings_for_section(section, at))
        self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2))


def moment(text: str, section: Section) -> datetime:
    try:
        return read_moment(text, section.school.time_zone)
    except (ValueError, OverflowError) as wrong:
        raise CommandError(
            _("“{text}” is not a date or time. Write it as 2026-11-03T10:40 or 2026-11-03.", text=text)
        ) from wrong


def as_json(section: Section, clearances: Matrix) -> dict[str, Any]:
    machines = [
        {"id": machine.pk, "name": str(machine), "number": machine.number, "kind": machine.kind.code}
        for machine in clearances.machines
    ]
    students = [
        {
            "id": student.pk,
            "name": student.name,
            "local_id": student.local_id,
            "standings": [{"machine": machine.pk} | answer_as_json(answer) for machine, answer in row],
        }
        for student, row in clearances.rows
    ]
    return {
        "class": {"id": section.pk, "name": section.name},
        "at": clearances.at.astimezone(UTC).isoformat(),
        "machines": machines,
        "students": students,
    }


def answer_as_json(answer: ClearanceResult) -> dict[str, Any]:
    """One cell: the standing in words, the reasons in order, and when and by what it ends."""
    ending = answer.ending
    return {
        "standing": str(answer.standing),
        "reasons": [
            {"code": reason.code, "who": str(reason.who), "sentence": reason.sentence, "detail": reason.detail}
            for reason in answer.reasons
        ],
        "ends": {"at": ending.at.astimezone(UTC).isoformat(), "by": ending.by} if ending else None,
    }
