"""`manage.py rota CLASS --slots N [--minutes M]`: who works at which machine in which turn, as JSON."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from machines.planning.queries import class_at_machines, rota_facts
from machines.planning.rules.rotas import make_rota
from machines.planning.showing import as_json_line
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.lookup import section_by_pk_or_name
from shopsafe.school.refusals import Refused


class Command(TranslatedCommand):
    help = marked("Prints who works at which machine in which turn of a period, as JSON.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("section", metavar="CLASS", help=_("the class's number or name"))
        parser.add_argument("--slots", type=int, default=4, help=_("turns, 1 to 8 (4)"))
        parser.add_argument("--minutes", type=int, default=10, help=_("minutes a turn, 1 to 120 (10)"))

    def handle(self, **options: Any) -> None:
        if not 1 <= options["slots"] <= 8 or not 1 <= options["minutes"] <= 120:
            raise CommandError(_("--slots takes a number from 1 to 8, --minutes one from 1 to 120."))
        try:
            section = section_by_pk_or_name(options["section"])
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        judged_class = class_at_machines(section, school_moment(section.school_id))
        rota = make_rota(rota_facts(judged_class, options["slots"], options["minutes"]))
        answer = {
            "class": {"id": section.pk, "name": section.name},
            "slots": options["slots"],
            "minutes": options["minutes"],
            "machines": judged_class.machine_names,
            "students": judged_class.names,
            "lines": [as_json_line(line) for line in rota.lines],
            "left_out": [
                {"id": row.student, "turn": (row.slot or 0) + 1, "why": row.sentence} for row in rota.left_out
            ],
            "empty": [{"machine": row.machine, "turn": row.slot + 1, "why": row.sentence} for row in rota.empty],
            "proven": rota.proof.proven,
            "gap": rota.proof.gap,
        }
        self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2))
