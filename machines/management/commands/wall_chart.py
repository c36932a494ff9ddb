"""`manage.py wall_chart CLASS --out F`: one class's chart as PDF; prints code, sheets and distance as JSON."""

from argparse import ArgumentParser
from typing import Any

from machines.prints.rendering import draw_chart
from machines.prints.sheets.wall import shop_snapshot
from machines.prints.wall_command import WallCommand
from shopsafe.conventions import conventions_in_use
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment


class Command(WallCommand):
    help = marked(
        "Writes the wall chart of a class: students down, machines across, a wheel where one may use a machine."
    )
    papers = ("tabloid", "letter", "a3", "a4")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("section", metavar="CLASS", help=_("the class's key or name"))
        super().add_arguments(parser)

    def handle(self, **options: Any) -> None:
        section = self.section(options["section"])
        with conventions_in_use(section.shop.school.conventions):
            snapshot = shop_snapshot(section.shop, school_moment(section.shop.school_id))
            rendered = draw_chart(snapshot, section, self.paper(options), by=None, metres=options["metres"])
        self.write(options["out"], rendered)
