"""A substitute is granted supervising for one class and one day, by its teacher or the office."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from machines.models import SupervisingGrant
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Section
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated


@act
def grant_supervising(
    *, section: Section, substitute: Person, day: date, by: Person, tap: UUID, at: datetime | None = None
) -> SupervisingGrant:
    """`substitute` may run the shop with this class on `day`. The grant ends with the day. Granting twice is once.

    Refused: access.not-yours, supervising.not-a-substitute, supervising.past, supervising.not-in-term,
    supervising.tap-used.
    """
    allow(by, "grant supervising", section=section)
    lock(section, substitute)
    at = act_moment(section.school_id, at)
    asked = {"section": section.pk, "substitute": substitute.pk, "day": day}
    if is_repeated(tap, "supervising", by=by, at=at, asked=asked):
        return SupervisingGrant.objects.filter(section=section, substitute=substitute, day=day).order_by("-pk")[0]
    if not substitute.is_substitute or not substitute.is_active or substitute.school_id != section.school_id:
        raise Refused("supervising.not-a-substitute", _("Choose a substitute of this school."), 422)
    if day < local_day(at, section.school.time_zone):
        raise Refused("supervising.past", _("Choose today or a later day."), 422)
    if not section.term.first_day <= day <= section.term.last_day:
        raise Refused(
            "supervising.not-in-term",
            _("{section} does not meet on that day: its term is over.", section=section.name),
            422,
        )
    stands = SupervisingGrant.objects.filter(section=section, substitute=substitute, day=day, withdrawn_at=None).first()
    if stands is not None:
        return stands
    row = SupervisingGrant.objects.create(
        school_id=section.school_id, section=section, substitute=substitute, day=day, by=by, at=at, tap=tap
    )
    row.entry = _record("supervising.granted", row, by, at)
    row.save(update_fields=["entry"])
    return row


@act
def withdraw_supervising(
    *, grant: SupervisingGrant, by: Person, tap: UUID, at: datetime | None = None
) -> SupervisingGrant:
    """The substitute may no longer run the shop. What was opened stays open until presence is over.

    Refused: access.not-yours, supervising-end.tap-used.
    """
    allow(by, "grant supervising", section=grant.section)
    lock(grant, grant.section.shop)  # under which the grant is asked for
    at = act_moment(grant.school_id, at)
    if is_repeated(tap, "supervising-end", by=by, at=at, asked={"grant": grant.pk}) or grant.withdrawn_at is not None:
        return grant
    grant.withdrawn_at, grant.withdrawn_by = at, by
    grant.save(update_fields=["withdrawn_at", "withdrawn_by"])
    _record("supervising.withdrawn", grant, by, at)
    return grant


def _record(kind: str, row: SupervisingGrant, by: Person, at: datetime) -> Any:
    payload = {
        "section": {"id": row.section_id, "name": row.section.name},
        "substitute": row.substitute.as_record(),
        "day": row.day,
        "by": by.as_record(),
        "grant": row.pk,
    }
    return append(kind=kind, school=row.school_id, at=at, payload=payload)
