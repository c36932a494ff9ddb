"""manage.py backup FILE: a whole copy of the database, also while the server works."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import connection

from shopsafe.database import backups
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint

LARGE = 25_000  # pages: 100 MB


class Command(TranslatedCommand):
    help = marked("Writes a whole copy of the database to a new file, and prints its checkpoint.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help=_("a new file"))

    def handle(self, *, file: Path, **options: Any) -> None:
        if connection.vendor != "sqlite":
            raise CommandError(_("This database is PostgreSQL: back it up with pg_dump."))
        if file.exists():
            raise CommandError(_("{file} is there already. Give a new name.", file=file))
        mark = take_checkpoint()
        try:
            backups.copy(backups.database(), file, self._progress())
        except backups.NotCopied as wrong:
            raise CommandError(str(wrong)) from wrong
        self.stdout.write(json.dumps({"file": str(file), "entries": backups.look_at(file), "print": str(mark)}))

    def _progress(self) -> backups.Progress:
        """A line for each tenth of a large database, beside the JSON: minutes without a word look like an end."""
        shown = 0

        def progress(done: int, pages: int) -> None:
            nonlocal shown
            tenth = done * 10 // pages
            if pages >= LARGE and tenth > shown:
                shown = tenth
                self.stderr.write(_("{percent} % copied", percent=tenth * 10))

        return progress
