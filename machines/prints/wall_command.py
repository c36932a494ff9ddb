"""What the commands wall_card and wall_chart share: papers, the file they write, and what they print about it."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from machines.prints.rendering import RenderedPrint, record_codes
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _
from shopsafe.paper.press.render import PrintFailed
from shopsafe.paper.rules.sheets import PAPERS, Paper
from shopsafe.school.lookup import section_by_pk_or_name
from shopsafe.school.models import Section
from shopsafe.school.refusals import Refused


class WallCommand(TranslatedCommand):
    """A command that writes one PDF and says as JSON what it wrote."""

    papers: tuple[str, ...] = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--out", required=True, type=Path, help=_("the file to write"))
        parser.add_argument("--paper", choices=self.papers, default=self.papers[0])
        parser.add_argument("--metres", type=float, default=3.0, help=_("the distance names should read from (3)"))

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except (Refused, PrintFailed) as problem:
            raise CommandError(problem.sentence) from problem

    def write(self, file: Path, rendered: RenderedPrint) -> None:
        """The file first, then the record: what could not be written is not recorded."""
        try:
            file.write_bytes(rendered.printed.pdf)
        except OSError as problem:
            raise CommandError(
                _("{file} can't be written: {problem}. Nothing was recorded.", file=file, problem=problem.strerror)
            ) from None
        try:
            printed = record_codes(rendered, by=None)
        except Refused:
            file.unlink()
            raise
        (row,) = (coded_print.row for coded_print in rendered.coded)
        report = {
            "file": str(file),
            "code": row.code,
            "paper": printed.paper.code,
            "sheets": printed.sheets,
            "reads_from_m": printed.reads,
            "cleared": len(row.shows["cleared"]),
        }
        self.stdout.write(json.dumps(report, ensure_ascii=False, indent=2))

    def paper(self, options: dict[str, Any]) -> Paper:
        return PAPERS[options["paper"]]

    def section(self, text: str) -> Section:
        try:
            return section_by_pk_or_name(text)
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
