"""A student is named as helper at a run (outfeed, spotter), or released before the run ends."""

from datetime import datetime
from typing import Any
from uuid import UUID

from machines.floor.queries import open_shop_of
from machines.floor.rules.starts import reasons_against_giving
from machines.floor.start_facts import refuse, start_facts
from machines.floor.supervision import allow_floor
from machines.models import Run, RunHelper
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.logbook.queries import last_moment
from shopsafe.school.access import allow, students_for
from shopsafe.school.clock import act_clock, act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated


@act
def name_helper(*, run: Run, student: Person, by: Person, tap: UUID, at: datetime | None = None) -> RunHelper:
    """`student` helps at this run. The helper must be cleared as the machine type says, on no hold and at no machine.

    Refused: access.not-yours, floor.no-grant, helper.run-over, helper.the-user, helper.already, helper.not-cleared,
    helper.on-hold, helper.elsewhere, and what else keeps the machine from running; helper.tap-used.
    """
    allow(by, "run the floor", shop=run.machine.shop)
    lock(run.student, student, run.machine, run.machine.shop, run)
    clock, last = act_clock(at), last_moment(run.school_id)
    at = act_moment(run.school_id, at)
    allow_floor(by, run.machine.shop, run.opening.section_id, at)
    if is_repeated(tap, "helper", by=by, at=at, asked={"run": run.pk, "student": student.pk}):
        return RunHelper.objects.filter(run=run, student=student).order_by("-pk")[0]
    if run.ended_at is not None:
        raise Refused("helper.run-over", _("This run is over."))
    if student.pk == run.student_id:
        raise Refused(
            "helper.the-user",
            _("{student} runs the machine. Name another student as helper.", student=student.name),
            422,
        )
    if not student.is_student or not students_for(by).filter(pk=student.pk).exists():
        raise Refused("access.not-yours", _("This student is in none of your classes."), 403)
    if RunHelper.objects.filter(run=run, student=student, ended_at=None).exists():
        raise Refused("helper.already", _("{student} helps there already.", student=student.name))
    now = open_shop_of(run.machine.shop_id, last)
    helper = RunHelper(school_id=run.school_id, run=run, student=student, by=by, at=at)
    facts = start_facts(run.student, run.machine, now.hour if now else None, at, run, [helper], asks_helpers=False)
    refuse(reasons_against_giving(facts, clock))
    helper.save()
    helper.entry = _record("helper.named", helper, by, at)
    helper.save(update_fields=["entry"])
    return helper


@act
def release_helper(*, helper: RunHelper, by: Person, tap: UUID, at: datetime | None = None) -> RunHelper:
    """The help is over although the run is not. While the machine type asks for a helper, another is to be named.

    Refused: access.not-yours, helper-release.tap-used.
    """
    run = helper.run
    allow(by, "run the floor", shop=run.machine.shop)
    lock(run.student, run.machine, helper)
    at = act_moment(run.school_id, at)
    allow_floor(by, run.machine.shop, run.opening.section_id, at)
    if is_repeated(tap, "helper-release", by=by, at=at, asked={"helper": helper.pk}) or helper.ended_at is not None:
        return helper
    helper.ended_at, helper.ended_by = at, by
    helper.save(update_fields=["ended_at", "ended_by"])
    _record("helper.ended", helper, by, at)
    return helper


def _record(kind: str, helper: RunHelper, by: Person, at: datetime) -> Any:
    payload = {
        "helper": helper.student.as_record(),
        "student": helper.run.student.as_record(),
        "machine": helper.run.machine.as_record(),
        "by": by.as_record(),
        "run": helper.run_id,
        "help": helper.pk,
    }
    return append(kind=kind, school=helper.school_id, at=at, payload=payload)
