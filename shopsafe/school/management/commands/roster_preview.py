"""`manage.py roster_preview FILE --class CLASS`: what importing a class list would do, as JSON. Changes nothing."""

from typing import Any

from shopsafe.language.messages import marked
from shopsafe.school.models import Section
from shopsafe.school.rosters.command import RosterCommand
from shopsafe.school.rosters.page_state import with_letter_warnings
from shopsafe.school.rosters.queries import known_people
from shopsafe.school.rosters.rules import RosterTable, preview


class Command(RosterCommand):
    help = marked("Prints what importing a class list would do: who is ready, who is already here, what is to fix.")

    def answer(self, section: Section, sheet: RosterTable, columns: list[str] | None) -> dict[str, Any]:
        return with_letter_warnings(preview(sheet, known_people(section, None), columns=columns)).as_dict()
