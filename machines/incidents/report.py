"""A report as a page sends it to an act, and what is missing in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from machines.incidents.facts import OwnPart, ReportText
from machines.incidents.rules.missing import missing
from machines.models import Machine
from shopsafe.school.models import Person


@dataclass(frozen=True, kw_only=True)
class Report:
    """What a page sends. `own`: a student's key → what the report says about that student's body; None is the key of
    a person who is no student. `wants_complete`: nothing is left to fill in. `keep_off`: tag the machine out."""

    sort: str
    happened_at: datetime
    machine: Machine | None = None
    concerned: Sequence[Person] = ()
    witnesses: Sequence[Person] = ()
    text: ReportText = field(default_factory=ReportText)
    own: Mapping[int | None, OwnPart] | None = None
    wants_complete: bool = False
    keep_off: bool = False

    def own_part(self, student: Person | None) -> OwnPart:
        return (self.own or {}).get(student.pk if student else None, OwnPart())

    def asked(self) -> dict[str, Any]:
        """Everything that was asked, in the types of JSON."""
        return {
            "sort": self.sort,
            "happened_at": self.happened_at,
            "machine": self.machine.pk if self.machine else None,
            "concerned": sorted(student.pk for student in self.concerned),
            "witnesses": sorted(student.pk for student in self.witnesses),
            "text": self.text.as_content(),
            "own": [[key, part.as_content()] for key, part in (self.own or {}).items()],
            "complete": self.wants_complete,
            "keep_off": self.keep_off,
        }


def missing_in(report: Report) -> list[str]:
    """The parts of the report without an answer."""
    own = {student.short_name: report.own_part(student) for student in report.concerned}
    named = {"": next(iter(own.values()))} if len(own) == 1 else own
    if not own and report.text.other_person:
        named = {"": report.own_part(None)}
    return missing(report.text, named, has_machine=report.machine is not None)
