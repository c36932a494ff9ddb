"""A teacher goes through the list of a machine. Any line answered no keeps the machine off until a teacher looks."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from machines.clearance.out_of_use import in_use_refusal
from machines.models import HazardReport, Inspection, Machine
from machines.reports.facts import GivenAnswer, InspectionLine, Interval, LineAnswer
from machines.reports.inspections.lists import as_data, lists_of_kind
from machines.reports.rules.answers import faults_of, unanswered
from shopsafe.act import act
from shopsafe.language.messages import _, marked, stored
from shopsafe.language.stored import as_stored
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

NOT_ANSWERED = marked("“{line}” is not answered. Answer every line: yes, no or doesn’t apply.")
LIST_CHANGED = marked("The list of this machine type was changed while you answered. Go through it again.")


@act
def inspect(
    *,
    machine: Machine,
    interval: Interval,
    answers: Mapping[int, LineAnswer],
    seen: str,
    words: str,
    by: Person,
    tap: UUID,
    at: datetime | None = None,
) -> Inspection:
    """`by` went through the list of `machine`: each line by its place, from 0, and its answer. `seen` is the digest of
    the list that the page showed. A `tap` sent again gives the same inspection.

    Refused: access.not-yours, inspection.tap-used, inspection.retired, inspection.tagged-out, inspection.no-list,
    inspection.list-changed, inspection.not-answered.
    """
    allow(by, "inspect a machine", shop=machine.shop)
    lock(machine)
    at = act_moment(machine.school_id, at)
    given = {str(place): answer.value for place, answer in sorted(answers.items())}
    asked = {"machine": machine.pk, "interval": interval.value, "answers": given, "words": words.strip()[:300]}
    if is_repeated(tap, "inspection", by=by, at=at, asked=asked):
        return Inspection.objects.get(tap=tap)
    _may_be_inspected(machine)
    lines = _answered_lines(machine, interval, answers, seen, at)
    faults = faults_of([line.says for line in lines], [GivenAnswer(*pair) for pair in answers.items()])
    answered = [line | {"answer": answers[place].value} for place, line in enumerate(as_data(lines))]
    row = Inspection.objects.create(
        school_id=machine.school_id, machine=machine, scope=interval.value, answers=answered, complete=not faults,
        words=words.strip()[:300], by=by, at=at, tap=tap,
    )  # fmt: skip
    row.entry = append(kind="inspection.made", school=machine.school_id, at=at, payload=payload_of(row))
    row.save(update_fields=["entry"])
    if faults:
        _keep_off(row, faults, at)
    return row


def _answered_lines(
    machine: Machine, interval: Interval, answers: Mapping[int, LineAnswer], seen: str, at: datetime
) -> tuple[InspectionLine, ...]:
    """The lines of the list, each of which has an answer, if it is the list that the page showed."""
    lists = lists_of_kind(machine.kind, at)
    lines = lists.lines(interval)
    if not lines:
        raise Refused(
            "inspection.no-list", _("{machine_type} has no list for this interval.", machine_type=machine.kind.name)
        )
    if seen != lists.digest(interval):
        raise Refused("inspection.list-changed", _(LIST_CHANGED))
    if missing := unanswered([line.says for line in lines], answers):
        raise Refused("inspection.not-answered", _(NOT_ANSWERED, line=missing[0]), 422)
    return lines


def payload_of(row: Inspection) -> dict[str, Any]:
    """How the logbook records an inspection."""
    return {
        "inspection": row.pk,
        "machine": row.machine.as_record(),
        "by": row.by.as_record(),
        "scope": row.scope,
        "answers": row.answers,
        "complete": row.complete,
        "words": row.words,
        "reason": row.reason,
        "parts": row.parts,
    }


def _may_be_inspected(machine: Machine) -> None:
    if machine.retired_at is not None:
        raise Refused("inspection.retired", _("{machine} has left the shop.", machine=machine))
    refusal = in_use_refusal(machine, "inspection")
    if refusal is not None and refusal.code == "inspection.tagged-out":
        raise Refused(
            refusal.code,
            _("{machine} is tagged out. Its whole list is answered when it returns to service.", machine=machine),
        )


def _keep_off(row: Inspection, faults: list[str], at: datetime) -> None:
    """A report by the teacher: the machine is kept off until the teacher clears it or tags the machine out."""
    machine, words = row.machine, f"{stored('Answered no')}: {' '.join(faults)}"[:300]
    report = HazardReport.objects.create(
        school_id=row.school_id, shop=machine.shop, machine=machine, kind=HazardReport.Kind.INSPECTION, words=words,
        effect=HazardReport.Effect.KEEP_OFF, by=row.by, at=at, tap=uuid5(row.tap, "report"),
    )  # fmt: skip
    payload = {
        "report": report.pk,
        "shop": {"id": machine.shop_id, "name": machine.shop.name},
        "machine": machine.as_record(),
        "by": row.by.as_record(),
        "seen": as_stored(report.get_kind_display),
        "seen_code": report.kind,
        "words": words,
        "effect": report.effect,
    }
    report.entry = append(kind="report.made", school=row.school_id, at=at, payload=payload)
    report.save(update_fields=["entry"])
