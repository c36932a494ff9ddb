"""manage.py backup FILE: a whole copy of the database, also while the server works."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from shopsafe import backups
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint


class Command(BaseCommand):
    help = "Writes a whole copy of the database to a new file, and prints the checkpoint it holds."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="a new file")

    def handle(self, *, file: Path, **options: Any) -> None:
        if connection.vendor != "sqlite":
            raise CommandError("This database is PostgreSQL: back it up with pg_dump.")
        if file.exists():
            raise CommandError(f"{file} is there already. Give a new name.")
        mark = take_checkpoint()
        try:
            backups.copy(backups.database(), file)
        except backups.NotCopied as wrong:
            raise CommandError(str(wrong)) from wrong
        self.stdout.write(json.dumps({"file": str(file), "entries": backups.look_at(file), "print": str(mark)}))
