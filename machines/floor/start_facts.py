"""Everything that a start depends on, loaded for one student at one machine, as the rules ask for it."""

from collections.abc import Collection, Iterable
from datetime import datetime

from machines.clearance.facts import ClearanceResult, GapCode
from machines.clearance.out_of_use import OutOfUse, out_of_use
from machines.clearance.queries import matrix
from machines.floor.facts import HelperNow, MachineNow, ShopHour, StartFacts, StartReason, StudentNow
from machines.floor.queries import open_help
from machines.floor.rows.away import away_of
from machines.models import Machine, MachineKind, Run, RunHelper
from shopsafe.language.messages import _
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused


def start_facts(
    student: Person,
    machine: Machine,
    hour: ShopHour | None,
    at: datetime,
    run: Run | None = None,
    helpers: Iterable[RunHelper] = (),
    *,
    asks_helpers: bool = True,
) -> StartFacts:
    """`run` is the student's run at this machine, if it was given. Without `asks_helpers` a machine is given first, and
    its helper named before the start."""
    helping = [row.student for row in helpers]
    people = [student, *helping]
    answers = matrix(people, [machine], student.school, at).answers
    busy = busy_at([person.pk for person in people], machine)
    away = away_of((person.pk for person in people), hour.section if hour else 0, at, student.school.time_zone)
    user = Run.objects.filter(machine=machine, ended_at=None).select_related("student").first()
    off = out_of_use([machine.pk], at).get(machine.pk)
    kind, helpers_asked = machine.kind, machine.kind.helpers if asks_helpers else 0
    return StartFacts(
        shop=hour,
        machine=machine_now(machine, user, off, helpers_asked),
        student=student_now(student, answers.get((student.pk, machine.pk)), busy.get(student.pk, ""), away),
        helpers=tuple(
            helper_now(helper, answers.get((helper.pk, machine.pk)), busy.get(helper.pk, ""), kind, away)
            for helper in helping
        ),
        given_at=run.given_at if run else None,
        checked_at=run.started_at if run else None,
    )


def machine_now(machine: Machine, user: Run | None, off: OutOfUse | None, helpers: int) -> MachineNow:
    return MachineNow(
        key=machine.pk,
        name=machine.spoken,
        tagged_out=off.tagged_out if off else "",
        kept_off=off.kept_off if off else "",
        user=user.student.name if user else "",
        user_key=user.student_id if user else None,
        helpers=helpers,
    )


def busy_at(students: Iterable[int], besides: Machine) -> dict[int, str]:
    """Student → the other machine at which the student runs or helps now."""
    keys = list(students)
    runs = Run.objects.filter(student__in=keys, ended_at=None).exclude(machine=besides).select_related("machine__kind")
    busy = {run.student_id: run.machine.spoken for run in runs}
    helping = open_help(keys).exclude(run__machine=besides)
    return busy | {help_row.student_id: help_row.run.machine.spoken for help_row in helping}


def student_now(student: Person, answer: ClearanceResult | None, busy: str, away: Collection[int] = ()) -> StudentNow:
    why_not, on_hold = reasons_of(answer)
    return StudentNow(
        key=student.pk,
        name=student.name,
        cleared=answer is not None and answer.cleared,
        why_not=why_not,
        on_hold=on_hold,
        busy_at=busy,
        here=False if student.pk in away else None,
    )


def helper_now(
    student: Person, answer: ClearanceResult | None, busy: str, kind: MachineKind, away: Collection[int] = ()
) -> HelperNow:
    """A hold stops a helper as well, whatever the machine type asks of helpers."""
    _, on_hold = reasons_of(answer)
    may_help = not kind.helper_cleared or (answer is not None and answer.cleared)
    here = False if student.pk in away else None
    return HelperNow(student.pk, student.name, may_help, on_hold, busy, here)


def reasons_of(answer: ClearanceResult | None) -> tuple[str, str]:
    """Why the student is not cleared, and the words of a hold if one covers the machine."""
    if answer is None:
        return _("The machine has left the shop."), ""
    held = next((reason.for_staff for reason in answer.reasons if reason.code == GapCode.HOLD), "")
    return (answer.reasons[0].for_staff if answer.reasons else ""), held


def refuse(reasons: tuple[StartReason, ...]) -> None:
    """Raise Refused with the first reason's code and all sentences; return if there is none."""
    if reasons:
        raise Refused(reasons[0].code, " ".join(reason.sentence for reason in reasons[:3]))
