"""A card or chart is recorded under its code, replacing the one of the same target; or taken down from the wall.

A print is drawn before it is recorded: `give_codes` chooses the codes that go on the sheets and stores nothing, and
`record_prints` takes them down once the sheets are made. So nothing is said to hang that was never printed.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError
from django.db.models import QuerySet

from machines.models import Machine, Print, PrintSet
from machines.prints.rules.posted import SheetContents
from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.logbook.append import append
from shopsafe.paper.codes import new_code
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock, locked, share_school
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.refusals import Refused

RACE = marked("Someone printed this first, so yours was not made. Open the Print page again.")
CURRENT = {"replaced_at": None, "taken_down_at": None}


@dataclass(frozen=True)
class PrintRequest:
    """What a sheet is of and what it says. A pocket card is one student's; other sheets are of classes, or of none."""

    sheet: str
    shop: Shop
    paper: str
    shows: SheetContents
    sections: Sequence[Section]
    machine: Machine | None = None
    student: int | None = None

    @property
    def target(self) -> str:
        if self.student is not None:
            return f"{self.sheet}:{self.shop.pk}:{self.student}"
        return target_of(self.sheet, self.shop, self.machine, self.sections)


@dataclass(frozen=True)
class CodedPrint:
    """A print under its code, not recorded yet. `row` is what is posted, if that says the same on the same paper;
    otherwise it is new, and takes the place of what was posted when the code was given."""

    row: Print
    sections: Sequence[Section]
    instead_of: Print | None

    @property
    def is_new(self) -> bool:
        return self.row is not self.instead_of


def give_codes(
    print_requests: Sequence[PrintRequest], *, by: Person | None, at: datetime, choose: Callable[[str], str]
) -> list[CodedPrint]:
    """The code of each sheet; nothing is recorded. An unchanged sheet keeps its code; any other gets a new one.

    `by` is None for the server's console; `choose` picks one sign of a new code. Refused: access.not-yours.
    """
    for shop in {print_request.shop for print_request in print_requests}:
        _allow(by, shop)
    hanging = {row.target: row for row in _hanging([print_request.target for print_request in print_requests])}
    new_codes: set[str] = set()
    return [
        _coded(print_request, hanging.get(print_request.target), by, at, choose, new_codes)
        for print_request in print_requests
    ]


def _coded(
    print_request: PrintRequest,
    hangs: Print | None,
    by: Person | None,
    at: datetime,
    choose: Callable[[str], str],
    new_codes: set[str],
) -> CodedPrint:
    shows = print_request.shows.as_data()
    if hangs is not None and (hangs.shows, hangs.paper) == (shows, print_request.paper):
        return CodedPrint(hangs, print_request.sections, hangs)
    row = Print(
        school_id=print_request.shop.school_id,
        shop=print_request.shop,
        sheet=print_request.sheet,
        machine=print_request.machine,
        paper=print_request.paper,
    )
    row.target, row.shows, row.printed_at, row.printed_by = print_request.target, shows, at, by
    row.code = _free_code(choose, new_codes)
    new_codes.add(row.code)
    return CodedPrint(row, print_request.sections, hangs)


def record_prints(made: Sequence[CodedPrint], *, by: Person | None, at: datetime | None = None) -> list[Print]:
    """Sheets that are drawn are recorded, all or none. Refused: access.not-yours, print.race."""
    try:
        return _record_prints(made, by, at)
    except IntegrityError as race:
        raise Refused("print.race", _(RACE)) from race


@act
def _record_prints(coded_prints: Sequence[CodedPrint], by: Person | None, at: datetime | None) -> list[Print]:
    if coded_prints:
        share_school(coded_prints[0].row.school_id)
    return _record(coded_prints, by, at)


def record_set(coded_prints: Sequence[CodedPrint], *, of: PrintSet, claim: UUID, at: datetime | None = None) -> bool:
    """A set is ready, and its sheets are recorded, all or none. False if it was stopped, or another worker took it up.

    Refused: access.not-yours, print.race.
    """
    try:
        return _record_set(coded_prints, of, claim, at)
    except IntegrityError as race:
        raise Refused("print.race", _(RACE)) from race


@act
def _record_set(coded_prints: Sequence[CodedPrint], of: PrintSet, claim: UUID, at: datetime | None) -> bool:
    share_school(of.school_id)
    if locked(PrintSet.objects.filter(pk=of.pk, claim=claim, state=PrintSet.State.PRINTING)).first() is None:
        return False
    _record(coded_prints, of.asked_by, at)
    PrintSet.objects.filter(pk=of.pk).update(state=PrintSet.State.READY, message="")
    return True


def _record(coded_prints: Sequence[CodedPrint], by: Person | None, at: datetime | None) -> list[Print]:
    for shop in {coded_print.row.shop for coded_print in coded_prints}:
        _allow(by, shop)
    hanging = {row.target: row for row in locked(_hanging([coded_print.row.target for coded_print in coded_prints]))}
    for coded_print in coded_prints:
        at = act_moment(coded_print.row.school_id, at)
        hangs = hanging.get(coded_print.row.target)
        if hangs != coded_print.instead_of:
            raise Refused("print.race", _(RACE))
        if coded_print.is_new:
            _hang(coded_print.row, coded_print.sections, hangs)
            _append("print.made", coded_print.row, by, at, replaces=hangs.code if hangs else "")
    return [coded_print.row for coded_print in coded_prints]


def _allow(by: Person | None, shop: Shop) -> None:
    if by is not None:
        allow(by, "print", shop=shop)


def _hanging(targets: Sequence[str]) -> QuerySet[Print]:
    rows = Print.objects.filter(target__in=targets, **CURRENT)
    return rows.select_related("shop__school").order_by("pk")


def _hang(row: Print, sections: Sequence[Section], hanging: Print | None) -> None:
    """Stores the new print; the one before makes room for it first, and then says what it was replaced by."""
    if hanging is not None:
        hanging.replaced_at = row.printed_at
        hanging.save(update_fields=["replaced_at"])
    row.save(force_insert=True)
    row.sections.set(sections)
    if hanging is not None:
        hanging.replaced_by = row
        hanging.save(update_fields=["replaced_by"])


@act
def take_down(*, printed: Print, by: Person, at: datetime | None = None) -> Print:
    """A sheet is off the wall, or a student has given a pocket card back. Refused: access.not-yours, print.gone."""
    allow(by, "print", shop=printed.shop)
    lock(printed)
    at = act_moment(printed.school_id, at)
    row = Print.objects.select_related("shop", "machine__kind").get(pk=printed.pk)
    if not row.current:
        raise Refused("print.gone", _("This print was taken down or given back already."))
    row.taken_down_at, row.taken_down_by = at, by
    row.save(update_fields=["taken_down_at", "taken_down_by"])
    _append("print.taken_down", row, by, at)
    return row


def target_of(sheet: str, shop: Shop, machine: Machine | None, sections: Sequence[Section]) -> str:
    """What a print is of: "wall card:7:12:5,6", with the shop, the machine and the classes, or "all"."""
    classes = ",".join(str(pk) for pk in sorted(section.pk for section in sections)) or "all"
    return f"{sheet}:{shop.pk}:{machine.pk if machine else '-'}:{classes}"


def _free_code(choose: Callable[[str], str], new_codes: Collection[str] = ()) -> str:
    while (code := new_code(choose)) in new_codes or Print.objects.filter(code=code).exists():
        pass
    return code


def _append(kind: str, row: Print, by: Person | None, at: datetime, **more: str) -> None:
    """No student is named: a sheet's people are given by keys, so that erasing one person leaves the entry whole."""
    payload = {
        "sheet": row.sheet,
        "code": row.code,
        "shop": {"id": row.shop_id, "name": row.shop.name},
        "sections": [{"id": section.pk, "name": section.name} for section in row.sections.order_by("pk")],
        "shows": row.shows,
        **({"machine": row.machine.as_record()} if row.machine else {}),
        **({"by": by.as_record()} if by else {}),
        **more,
    }
    append(kind=kind, school=row.school_id, at=at, payload=payload)
