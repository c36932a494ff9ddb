"""A machine is taken out of use, and returned to service after a teacher has looked at it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError

from machines.clearance.rules.wording import clock_text
from machines.models import HazardReport, Inspection, Machine, TagOut
from machines.reports.facts import GivenAnswer, LineAnswer, ReturnFacts
from machines.reports.inspections.lists import KindLists, as_data, lists_of_kind
from machines.reports.rules.returns import reasons_against_return
from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.language.stored import as_stored
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock, lock_school
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

LIST_CHANGED = marked("The list of this machine type was changed while you answered. Go through it again.")


def tag_out(*, machine: Machine, reason: str, by: Person, tap: UUID, at: datetime | None = None) -> TagOut:
    """No one may use `machine` from now on, and its open reports are ended. A `tap` sent again gives the same tag-out;
    with another reason, a refusal.

    Refused: access.not-yours, tag-out.no-reason, tag-out.already, tag-out.retired, tag-out.tap-used.
    """
    try:
        return _tag_out(machine, reason.strip()[:300], by, tap, at)
    except IntegrityError as race:
        raise _already(machine) from race


@act
def _tag_out(machine: Machine, reason: str, by: Person, tap: UUID, at: datetime | None) -> TagOut:
    allow(by, "tag out a machine", shop=machine.shop)
    # The entries of the reports that end are about the students who made them, too, and a report may come at this very
    # moment: no act of the school runs beside this one, so that the entries about a student keep their order.
    lock_school(machine.school_id, machine)
    at = act_moment(machine.school_id, at)
    if is_repeated(tap, "tag-out", by=by, at=at, asked={"machine": machine.pk, "reason": reason}):
        return TagOut.objects.get(tap=tap)
    if machine.retired_at is not None:
        raise Refused("tag-out.retired", _("{machine} has left the shop.", machine=machine))
    if not reason:
        raise Refused("tag-out.no-reason", _("Say what is wrong with the machine."), 422)
    if TagOut.objects.filter(machine=machine, returned_at=None).exists():
        raise _already(machine)
    row = TagOut.objects.create(school_id=machine.school_id, machine=machine, reason=reason, by=by, at=at, tap=tap)
    row.entry = _record("machine.tagged_out", row, by, at, reason=reason)
    row.save(update_fields=["entry"])
    _end_reports(row, by, at)
    return row


def _end_reports(row: TagOut, by: Person, at: datetime) -> None:
    """The open reports at the machine are looked at now: the inspection before the return is about them as well."""
    rows = HazardReport.objects.filter(machine=row.machine, ended_at=None).select_related("by", "shop")
    for report in rows.order_by("pk"):
        report.ended_at, report.ended_by, report.tag_out = at, by, row
        report.save(update_fields=["ended_at", "ended_by", "tag_out"])
        payload = {
            "machine": row.machine.as_record(),
            "shop": {"id": report.shop_id, "name": report.shop.name},
            "by": by.as_record(),
            "report": report.pk,
            "seen": as_stored(report.get_kind_display),
            "tag_out": row.pk,
        }
        student = {"student": report.by.as_record()} if report.by.is_student else {}
        append(kind="report.tagged_out", school=row.school_id, at=at, payload=payload | student)


@dataclass(frozen=True)
class ReturnWords:
    """What the teacher writes. `reason`: why a second teacher returns the machine, not the one who tagged it out."""

    finding: str
    reason: str = ""
    parts: str = ""


@act
def return_to_service(
    *,
    tag_out: TagOut,
    answers: Mapping[int, LineAnswer],
    seen: str,
    words: ReturnWords,
    by: Person,
    at: datetime | None = None,
) -> TagOut:
    """The machine may be used again: every line of its type's list is answered yes or doesn't apply. `answers` by the
    place of the line, from 0; `seen` is the digest of the list that the page showed.

    Refused: access.not-yours, return.already, inspection.list-changed, and as ReturnRefusal says: line.not-answered,
    line.no, found.empty, reason.empty.
    """
    allow(by, "return a machine to service", shop=tag_out.machine.shop)
    lock(tag_out.machine)
    at = act_moment(tag_out.school_id, at)
    row = TagOut.objects.select_related("machine__kind", "machine__school", "by", "returned_by").get(pk=tag_out.pk)
    if row.returned_at is not None and row.returned_by is not None:
        when = clock_text(row.returned_at, row.machine.school.time_zone)
        raise Refused(
            "return.already",
            _(
                "{person} returned {machine} to service on {when}.",
                person=row.returned_by.name,
                machine=row.machine.spoken,
                when=when,
            ),
        )
    lists = lists_of_kind(row.machine.kind, at)
    if seen != lists.digest():
        raise Refused("inspection.list-changed", _(LIST_CHANGED))
    if reasons := reasons_against_return(_facts(row, lists, answers, words, by, at)):
        raise Refused(reasons[0].code, " ".join(reason.sentence for reason in reasons[:3]), 422)
    row.returned_by, row.returned_at, row.inspection = by, at, words.finding.strip()[:300]
    row.save(update_fields=["returned_by", "returned_at", "inspection"])
    _record("machine.returned", row, by, at, inspection=row.inspection)
    _record_inspection(row, lists, answers, words, by, at)
    return row


def _facts(
    row: TagOut, lists: KindLists, answers: Mapping[int, LineAnswer], words: ReturnWords, by: Person, at: datetime
) -> ReturnFacts:
    return ReturnFacts(
        tagged_out_by=row.by_id,
        tagged_out_name=row.by.name,
        tagged_out_at=row.at,
        by=by.pk,
        lines={place: line.says for place, line in enumerate(lists.lines())},
        answers=tuple(GivenAnswer(*pair) for pair in answers.items()),
        answered_at=at,
        finding=words.finding,
        reason=words.reason,
    )


def _record_inspection(
    row: TagOut, lists: KindLists, answers: Mapping[int, LineAnswer], words: ReturnWords, by: Person, at: datetime
) -> None:
    answered = [line | {"answer": answers[place].value} for place, line in enumerate(as_data(lists.lines()))]
    second = by.pk != row.by_id
    check = Inspection.objects.create(
        school_id=row.school_id, machine=row.machine, scope=Inspection.Scope.RETURN, answers=answered, complete=True,
        words=row.inspection, by=by, at=at, tag_out=row, tagged_out_by=row.by,
        reason=words.reason.strip()[:300] if second else "", parts=words.parts.strip()[:200],
    )  # fmt: skip
    inspection_facts = {
        name: getattr(check, name) for name in ("scope", "answers", "complete", "words", "reason", "parts")
    }
    payload = {"inspection": check.pk, "machine": row.machine.as_record(), "by": by.as_record(), "tag_out": row.pk}
    check.entry = append(kind="inspection.made", school=row.school_id, at=at, payload=payload | inspection_facts)
    check.save(update_fields=["entry"])


def _already(machine: Machine) -> Refused:
    open_tag_out = TagOut.objects.filter(machine=machine, returned_at=None).select_related("by").first()
    if open_tag_out is None:
        return Refused("tag-out.already", _("{machine} is tagged out already.", machine=machine))
    when = clock_text(open_tag_out.at, machine.school.time_zone)
    return Refused(
        "tag-out.already",
        _(
            "{person} tagged out {machine} on {when}: {reason}",
            person=open_tag_out.by.name,
            machine=machine.spoken,
            when=when,
            reason=open_tag_out.reason,
        ),
    )


def _record(kind: str, row: TagOut, by: Person, at: datetime, **more: Any) -> Any:
    payload = {"machine": row.machine.as_record(), "by": by.as_record(), "tag_out": row.pk, **more}
    return append(kind=kind, school=row.school_id, at=at, payload=payload)
