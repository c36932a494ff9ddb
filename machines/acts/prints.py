"""A card or chart is printed under a code, replacing the one of the same target; or taken down from the wall."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from django.db import IntegrityError, transaction

from machines.hanging import Shows
from machines.models import Machine, Print
from shopsafe.logbook.append import append
from shopsafe.paper.codes import new_code
from shopsafe.school.access import allow
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.refusals import Refused

RACE = "Somebody printed this a moment ago. Look at the print room again."
CURRENT = {"replaced_at": None, "taken_down_at": None}


def record_print(
    *,
    sheet: str,
    shop: Shop,
    machine: Machine | None,
    sections: Sequence[Section],
    paper: str,
    shows: Shows,
    by: Person | None,
    at: datetime,
    choose: Callable[[str], str],
) -> Print:
    """The print under its code. What hangs unchanged on the same paper keeps its code; anything else is replaced.

    `by` is None for the server's console; `choose` picks one sign of a new code. Refused: access.not-yours, print.race.
    """
    row = Print(school_id=shop.school_id, shop=shop, sheet=sheet, machine=machine, paper=paper)
    row.target, row.shows = target_of(sheet, shop, machine, sections), shows.as_data()
    try:
        with transaction.atomic(durable=True):
            if by is not None:
                allow(by, "print", shop=shop)
            return _record(row, sections, by, at, choose)
    except IntegrityError as race:
        raise Refused("print.race", RACE) from race


def record_pocket_cards(
    *,
    section: Section,
    shows: Mapping[int, Shows],
    paper: str,
    by: Person | None,
    at: datetime,
    choose: Callable[[str], str],
) -> dict[int, Print]:
    """The pocket cards of students of a class, by student; one that says the same as before keeps its code.

    Refused: access.not-yours, print.race.
    """
    shop = section.shop
    try:
        with transaction.atomic(durable=True):
            if by is not None:
                allow(by, "print", shop=shop)
            made = {}
            for student, shown in shows.items():
                row = Print(school_id=shop.school_id, shop=shop, sheet=Print.Sheet.POCKET_CARD, paper=paper)
                row.target, row.shows = f"pocket card:{shop.pk}:{student}", shown.as_data()
                made[student] = _record(row, [section], by, at, choose)
            return made
    except IntegrityError as race:
        raise Refused("print.race", RACE) from race


def _record(
    row: Print, sections: Sequence[Section], by: Person | None, at: datetime, choose: Callable[[str], str]
) -> Print:
    """The print that hangs already, if it says the same; otherwise `row`, in its place."""
    hanging = Print.objects.select_for_update(of=("self",)).filter(target=row.target, **CURRENT).first()
    if hanging is not None and (hanging.shows, hanging.paper) == (row.shows, row.paper):
        return hanging
    row.printed_at, row.printed_by, row.code = at, by, _free_code(choose)
    _hang(row, sections, hanging)
    _append("print.made", row, by, at, replaces=hanging.code if hanging else "")
    return row


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


@transaction.atomic(durable=True)
def take_down(*, printed: Print, by: Person, at: datetime) -> Print:
    """It hangs no longer, and nothing hangs in its place. Refused: access.not-yours, print.gone."""
    allow(by, "print", shop=printed.shop)
    row = Print.objects.select_for_update(of=("self",)).select_related("shop", "machine__kind").get(pk=printed.pk)
    if not row.current:
        raise Refused("print.gone", "This print is off the wall already.")
    row.taken_down_at, row.taken_down_by = at, by
    row.save(update_fields=["taken_down_at", "taken_down_by"])
    _append("print.taken_down", row, by, at)
    return row


def target_of(sheet: str, shop: Shop, machine: Machine | None, sections: Sequence[Section]) -> str:
    """What a print is of: "wall card:7:12:5,6", with the shop, the machine and the classes, or "all"."""
    classes = ",".join(str(pk) for pk in sorted(section.pk for section in sections)) or "all"
    return f"{sheet}:{shop.pk}:{machine.pk if machine else '-'}:{classes}"


def _free_code(choose: Callable[[str], str]) -> str:
    while Print.objects.filter(code=(code := new_code(choose))).exists():
        pass
    return code


def _append(kind: str, row: Print, by: Person | None, at: datetime, **more: str) -> None:
    """No student is named: whom a sheet showed is told by keys, so that erasing one person leaves the entry whole."""
    payload = {
        "sheet": row.sheet,
        "code": row.code,
        "shop": {"id": row.shop_id, "name": row.shop.name},
        "sections": [{"id": one.pk, "name": one.name} for one in row.sections.order_by("pk")],
        "shows": row.shows,
        **({"machine": row.machine.as_record()} if row.machine else {}),
        **({"by": by.as_record()} if by else {}),
        **more,
    }
    append(kind=kind, school=row.school_id, at=at, payload=payload)
