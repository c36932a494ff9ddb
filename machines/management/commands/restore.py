"""manage.py restore FILE [--over]: the database as a backup holds it, verified, without those erased since.

The backup is read in a file apart. Only when the logbook in it holds, and those erased since then are erased again,
does it take the place of the database, which is put aside.
"""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from machines.records import erasure
from machines.records.acts import erase_again
from shopsafe.database import backups
from shopsafe.database.backups import ErasedPerson
from shopsafe.database.sweeping import sweep
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.logbook.verification.verify import verify

# What stands where the backup is to go.
NO_DATABASE = marked("{place} is damaged (it is no database). --over puts it aside and restores.")
IN_USE = marked("{place} holds a school already. --over puts it aside and restores.")
DAMAGED = marked("{place} is damaged ({fault}). --over puts it aside and restores.")


class Command(TranslatedCommand):
    help = marked("Puts a backup in the place of the database, once its logbook is verified. Stop the server first.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", nargs="?", help=_("what `backup` wrote"))
        parser.add_argument(
            "--over", action="store_true", help=_("although the database holds something: it is put aside")
        )
        parser.add_argument(
            "--erasures",
            action="store_true",
            help=_("no file: only erase again the people that a restore brought back"),
        )

    def handle(self, *, file: Path | None, over: bool, erasures: bool, **options: Any) -> None:
        if erasures:
            self.stdout.write(json.dumps({"erased_again": self.erased_again(backups.noted_erasures())}))
            return
        if file is None or connection.vendor != "sqlite":
            raise CommandError(_("Give the file that `backup` wrote. On PostgreSQL use pg_restore, then --erasures."))
        try:
            self.restore(file, over=over)
        except (backups.NotABackup, backups.NotCopied) as wrong:
            raise CommandError(str(wrong)) from wrong

    def restore(self, file: Path, *, over: bool) -> None:
        backups.look_at(file)
        place, at = backups.database(), timezone.now()
        erased_people, state, fault = backups.noted_erasures(), "", ""
        try:
            if place.exists() and not backups.is_database(place):
                state = NO_DATABASE
            elif place.exists() and "logbook_entry" in connection.introspection.table_names():
                erased_people |= erasure.erased_people()
                state = IN_USE if erasure.holds_anything() else ""
        except DatabaseError as damaged:
            state, fault = DAMAGED, str(damaged)
        if state and not over:
            raise CommandError(_(state, place=place, fault=fault))
        try:
            report = self.prepared(file, place, erased_people)
            aside = backups.set_aside(place, at) if place.exists() else None
            self.apart(place).rename(place)
        finally:
            self.apart(place).unlink(missing_ok=True)
        self.stdout.write(json.dumps(report | {"aside": str(aside) if aside else None}, indent=2))

    def prepared(self, file: Path, place: Path, erased_people: set[ErasedPerson]) -> dict[str, Any]:
        """The backup in a file apart: brought up to date, without those who are `erased_people`, and verified."""
        backups.copy(file, self.apart(place))
        use(self.apart(place))
        try:
            call_command("migrate", verbosity=0, interactive=False)
            again = self.erased_again(erased_people)
            verdict = verify()
            sweep()
        except Exception as wrong:  # a file that was damaged or made elsewhere may hold anything at all
            raise backups.NotABackup(
                _("{file} can't be read as a backup: {problem}. Nothing is restored.", file=file, problem=wrong)
            ) from wrong
        finally:
            use(place)
        if not verdict.holds:
            raise CommandError(
                _("Nothing is restored: the logbook in it does not hold. {fault}", fault=verdict.says_wrong)
            )
        return {"entries": verdict.entries, "head": verdict.head.hex(), "erased_again": again}

    def apart(self, place: Path) -> Path:
        return place.with_name(f"{place.name}.restoring")

    def erased_again(self, erased_people: set[ErasedPerson]) -> int:
        return sum(erase_again(gone=person) for person in sorted(erased_people))


def use(file: Path) -> None:
    """From now on this process works on that file, and leaves no journal of the other behind."""
    connection.close()
    backups.settle(Path(str(connection.settings_dict["NAME"])))
    connection.settings_dict["NAME"] = str(file)
