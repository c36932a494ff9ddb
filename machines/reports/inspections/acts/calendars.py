"""A calendar of due inspections is opened under a secret address, and ended: the address answers no more."""

from datetime import datetime

from machines.models import InspectionCalendar
from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Shop


@act
def open_calendar(*, shop: Shop, by: Person, at: datetime | None = None) -> InspectionCalendar:
    """One a person and shop: a second call gives the one that is there. Refused: access.not-yours."""
    allow(by, "subscribe to inspections", shop=shop)
    lock(shop)
    at = act_moment(shop.school_id, at)
    standing = InspectionCalendar.objects.filter(shop=shop, made_by=by, ended_at=None).first()
    if standing is not None:
        return standing
    row = InspectionCalendar.objects.create(school_id=shop.school_id, shop=shop, made_by=by, made_at=at)
    _record("calendar.opened", row, by, at)
    return row


@act
def end_calendar(*, calendar: InspectionCalendar, by: Person, at: datetime | None = None) -> InspectionCalendar:
    """Its maker ends it. Ending twice is once. Refused: access.not-yours."""
    allow(by, "subscribe to inspections", shop=calendar.shop)
    lock(calendar.shop, calendar)
    at = act_moment(calendar.school_id, at)
    if calendar.ended_at is None:
        calendar.ended_at = at
        calendar.save(update_fields=["ended_at"])
        _record("calendar.ended", calendar, by, at)
    return calendar


def _record(kind: str, row: InspectionCalendar, by: Person, at: datetime) -> None:
    payload = {"calendar": row.pk, "shop": {"id": row.shop_id, "name": row.shop.name}, "by": by.as_record()}
    append(kind=kind, school=row.school_id, at=at, payload=payload)
