"""A teacher sets the inspection list of a machine type, or begins with the starter lists of every type of a shop."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from machines.models import InspectionList as StoredList
from machines.models import MachineKind
from machines.reports.facts import InspectionLine, Interval
from machines.reports.inspections.lists import as_data, lists_of_kind
from machines.reports.inspections.queries import kinds_for, starts_in
from machines.reports.rules.inspection_lists import LONGEST_LINE
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, Shop
from shopsafe.school.refusals import Refused

MOST_LINES = 40


@act
def set_inspection_list(
    *,
    kind: MachineKind,
    lines: Mapping[Interval, Sequence[InspectionLine]],
    seen: str,
    by: Person,
    at: datetime | None = None,
) -> StoredList:
    """From now on these lines are gone through at the machine type. An interval without a line is not inspected. `seen`
    is the digest of the lists that the page showed.

    Refused: access.not-yours, list.changed, list.too-long, list.line-too-long, list.line-twice.
    """
    _may_set(by, kind)
    lock_school(kind.school_id)
    at = act_moment(kind.school_id, at)
    before = lists_of_kind(kind, at)
    wanted = {interval.value: as_data(lines.get(interval, ())) for interval in Interval}
    _check(wanted)
    if before.since is not None and wanted == {
        interval.value: as_data(before.lines(interval)) for interval in Interval
    }:
        return StoredList.objects.filter(kind=kind).latest("set_at", "pk")
    if seen != before.digest():
        raise Refused(
            "list.changed", _("{person} changed this list a moment ago. Check it again.", person=before.set_by)
        )
    return _set(kind, wanted, by, at)


@act
def start_inspections(*, shop: Shop, by: Person, at: datetime | None = None) -> list[StoredList]:
    """Every machine type of the shop that has no list yet begins with its starter list. A second call starts nothing.

    Refused: access.not-yours.
    """
    allow(by, "inspect a machine", shop=shop)
    lock_school(shop.school_id)
    at = act_moment(shop.school_id, at)
    kinds = starts_in(shop, at)
    lists = {kind.pk: lists_of_kind(kind, at) for kind in kinds}
    return [
        _set(kind, {interval.value: as_data(lists[kind.pk].lines(interval)) for interval in Interval}, by, at)
        for kind in kinds
    ]


def _set(kind: MachineKind, lines: dict[str, list[dict[str, str]]], by: Person, at: datetime) -> StoredList:
    row = StoredList.objects.create(school_id=kind.school_id, kind=kind, lines=lines, set_at=at, set_by=by)
    payload = {"list": row.pk, "machine_kind": {"id": kind.pk, "name": kind.name}, "by": by.as_record(), "lines": lines}
    append(kind="inspection.list_set", school=kind.school_id, at=at, payload=payload)
    return row


def _may_set(by: Person, kind: MachineKind) -> None:
    """A teacher with a machine of the type in a shop of theirs."""
    allow(by, "inspect a machine")
    if kind.school_id != by.school_id or not kinds_for(by).filter(pk=kind.pk).exists():
        raise Refused("access.not-yours", _("No machine of this type is in a shop of yours."), 403)


def _check(wanted: Mapping[str, Sequence[Mapping[str, str]]]) -> None:
    for lines in wanted.values():
        if len(lines) > MOST_LINES:
            raise Refused("list.too-long", _("A list has at most {most} lines. Split it.", most=MOST_LINES), 422)
        texts = [line["says"] for line in lines]
        for text in texts:
            if len(text) > LONGEST_LINE:
                raise Refused(
                    "list.line-too-long",
                    _("At most {most} characters a line: “{line}…”", most=LONGEST_LINE, line=text[:60]),
                    422,
                )
            if texts.count(text) > 1:
                raise Refused("list.line-twice", _("“{line}” is there twice. Remove one of them.", line=text), 422)
