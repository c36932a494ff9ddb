"""`manage.py wall_card MACHINE --out F`: one machine's card as PDF; prints code, paper and distance as JSON."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from machines.models import Machine
from machines.prints.queries import machine_by_pk_or_name
from machines.prints.rendering import draw_cards
from machines.prints.sheets.wall import shop_snapshot
from machines.prints.wall_command import WallCommand
from shopsafe.conventions import conventions_in_use
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment


class Command(WallCommand):
    help = marked("Writes the wall card of a machine: who may use it, its rules, how to stop it.")
    papers = ("letter", "a4", "tabloid", "a3")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("machine", metavar="MACHINE", help=_("the machine's key, or its name (“Band saw 2”)"))
        parser.add_argument("--class", dest="sections", action="append", default=[], metavar="CLASS")
        super().add_arguments(parser)

    def handle(self, **options: Any) -> None:
        machine = self.machine(options["machine"])
        sections = [self.section(text) for text in options["sections"]]
        if any(section.shop_id != machine.shop_id for section in sections):
            raise CommandError(
                _("{machine} is in {shop}; that class is taught elsewhere.", machine=machine, shop=machine.shop)
            )
        papers, metres = [self.paper(options)], options["metres"]
        with conventions_in_use(machine.shop.school.conventions):
            snapshot = shop_snapshot(machine.shop, school_moment(machine.shop.school_id))
            rendered = draw_cards(snapshot, [machine], sections, papers, by=None, metres=metres)
        self.write(options["out"], rendered)

    def machine(self, text: str) -> Machine:
        machines = list(machine_by_pk_or_name(text)[:6])
        if not machines:
            raise CommandError(
                _("There is no machine “{text}”. Give its key, or its name and number: “Band saw 2”.", text=text)
            )
        if len(machines) > 1:
            which = "; ".join(
                _(
                    "{key} is {machine} in {shop}, {school}",
                    key=machine.pk,
                    machine=machine,
                    shop=machine.shop,
                    school=machine.shop.school,
                )
                for machine in machines
            )
            raise CommandError(_("“{text}” may be any of these: {machines}. Give the key.", text=text, machines=which))
        return machines[0]
