"""What `roster_preview` and `roster_import` share: a file, a class, and JSON on the way out."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _
from shopsafe.school.lookup import section_by_pk_or_name
from shopsafe.school.models import Section
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.rules import ROLES, RosterTable, read_file
from shopsafe.school.rosters.rules.reading import MOST_BYTES


class RosterCommand(TranslatedCommand):
    """Reads the file and the class, calls `answer`, and prints what it returns; a refusal is a CommandError."""

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help=_("a class list: CSV, XLSX or plain text"))
        parser.add_argument("--class", dest="section", required=True, help=_("the class, by primary key or by name"))
        parser.add_argument(
            "--columns",
            type=lambda text: text.split(","),
            help=_("what the columns hold, such as family,given,id: {roles}", roles=ROLES),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        unknown = set(options["columns"] or ()) - set(ROLES)
        if unknown:
            raise CommandError(
                _(
                    "A column holds one of {roles}, not {unknown}.",
                    roles=", ".join(ROLES),
                    unknown=", ".join(sorted(unknown)),
                )
            )
        try:
            section = section_by_pk_or_name(options["section"])
            answer = self.answer(section, _read(options["file"]), options["columns"])
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        which = {"id": section.pk, "name": section.name, "term": section.term.name}
        self.stdout.write(json.dumps({"class": which, **answer}, ensure_ascii=False, indent=2))

    def answer(self, section: Section, sheet: RosterTable, columns: list[str] | None) -> dict[str, Any]:
        raise NotImplementedError


def _read(path: Path) -> RosterTable:
    try:
        with path.open("rb") as file:
            return read_file(path.name, file.read(MOST_BYTES + 1))
    except OSError as wrong:
        raise CommandError(f"{path}: {wrong.strerror}.") from wrong
