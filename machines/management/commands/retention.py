"""manage.py retention [--really]: whose record is due to be erased by the school's rule; --really erases it."""

import json
from argparse import ArgumentParser
from typing import Any

from machines.records import erasure
from machines.records.acts import BY_RULE, erase_student
from machines.records.erasure import Leaver
from shopsafe.database.sweeping import sweep
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.models import School
from shopsafe.school.refusals import Refused


class Command(TranslatedCommand):
    help = marked("Shows which records are due to be erased by each school's rule, as JSON; --really erases them.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--really", action="store_true", help=_("erase them; this can't be undone"))

    def handle(self, *, really: bool, **options: Any) -> None:
        schools = [of_school(school, really=really) for school in School.objects.order_by("pk")]
        report = {"really": really, "schools": schools} | ({"swept": sweep()} if really else {})
        self.stdout.write(json.dumps(report, ensure_ascii=False, indent=2))


def of_school(school: School, *, really: bool) -> dict[str, Any]:
    years = {"years": school.keep_years, "years_after_injury": school.keep_years_injury}
    leavers = erasure.due_for_erasure(school, school_moment(school.pk))
    due = [erased(leaver) if really else shown(leaver) for leaver in leavers]
    return {"school": school.name, **years, "due": due}


def shown(leaver: Leaver) -> dict[str, Any]:
    return {
        "student": leaver.student.as_record(),
        "left_on": f"{leaver.record.left_on}",
        "kept_to": f"{leaver.keep_to}",
    }


def erased(leaver: Leaver) -> dict[str, Any]:
    """Each is a transaction of its own: one that is refused keeps none of the others."""
    try:
        done = erase_student(student=leaver.student, reason=BY_RULE, by=None)
    except Refused as refusal:
        return shown(leaver) | {"refused": refusal.sentence}
    return {"entry": done.entry, "print_again": list(done.going.prints)}
