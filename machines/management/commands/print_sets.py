"""`manage.py print_sets`: makes the sets of prints that wait, and ends. The Print page starts it by itself."""

import os
from typing import Any

from machines.prints.batches.making import make_waiting
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import counted, marked


class Command(TranslatedCommand):
    help = marked("Makes the sets of prints that wait. More than one at a time is harmless: the second ends at once.")

    def handle(self, **options: Any) -> None:
        os.nice(19)  # a student who saves an answer goes first
        count = make_waiting()
        self.stdout.write(counted("{count} set taken up.", "{count} sets taken up.", count=count))
