"""`manage.py roster_import FILE --class CLASS`: those who are ready come into the class; prints counts as JSON."""

import uuid
from typing import Any

from shopsafe.language.messages import marked
from shopsafe.school.models import Section
from shopsafe.school.rosters.acts import import_roster
from shopsafe.school.rosters.command import RosterCommand
from shopsafe.school.rosters.rules import RosterTable


class Command(RosterCommand):
    help = marked(
        "Brings those of a class list who are ready into the class. Rows to fix stay out: see roster_preview."
    )

    def answer(self, section: Section, sheet: RosterTable, columns: list[str] | None) -> dict[str, Any]:
        done = import_roster(section=section, sheet=sheet, key=uuid.uuid4(), by=None, columns=columns)
        counts = ("added", "already_here", "to_fix", "skipped")
        return {"file": sheet.file, "counts": {name: getattr(done, name) for name in counts}}
