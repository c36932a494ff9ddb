"""`manage.py print_sets`: makes the sets of prints that wait, and ends. The print room starts it by itself."""

import os
from typing import Any

from django.core.management.base import BaseCommand

from machines.prints.batches.making import make_waiting


class Command(BaseCommand):
    help = "Makes the sets of prints that wait. More than one at a time is harmless: the second ends at once."

    def handle(self, **options: Any) -> None:
        os.nice(19)  # a student who saves an answer goes first
        count = make_waiting()
        self.stdout.write(f"{count} set{'' if count == 1 else 's'} taken up.")
