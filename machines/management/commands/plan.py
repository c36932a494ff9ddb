"""`manage.py plan CLASS --minutes N`: which groups show which machine in what order, as JSON."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from machines.planning.queries import class_at_machines, plan_facts
from machines.planning.rules.plans import make_plan
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.lookup import section_by_pk_or_name
from shopsafe.school.refusals import Refused


class Command(TranslatedCommand):
    help = marked("Prints the plan of demonstrations for one period of a class, as JSON.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("section", metavar="CLASS", help=_("the class's number or name"))
        parser.add_argument("--minutes", type=int, default=40, help=_("minutes for demonstrations, 1 to 240 (40)"))

    def handle(self, **options: Any) -> None:
        if not 1 <= options["minutes"] <= 240:
            raise CommandError(_("--minutes takes a number from 1 to 240."))
        try:
            section = section_by_pk_or_name(options["section"])
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        judged_class = class_at_machines(section, school_moment(section.school_id))
        facts = plan_facts(judged_class, options["minutes"])
        plan = make_plan(facts)
        names = {demonstration.key: demonstration.name for demonstration in facts.demonstrations}
        answer = {
            "class": {"id": section.pk, "name": section.name},
            "minutes": options["minutes"],
            "students": plan.students,
            "sign_offs": plan.sign_offs,
            "lines": [
                {
                    "machine": line.demonstration,
                    "name": names[line.demonstration],
                    "starts": line.starts,
                    "minutes": line.minutes,
                    "students": [{"id": key, "name": judged_class.names[key]} for key in line.students],
                    "reasons": list(line.reasons),
                }
                for line in plan.lines
            ],
            "left_out": [{"id": row.student, "why": row.sentence} for row in plan.left_out],
            "proven": plan.proof.proven,
            "gap": plan.proof.gap,
        }
        self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2))
