"""What changes so that it won't happen again: put on the list of a report, and taken off once, when it is done."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from machines.clearance.rules.wording import clock_text
from machines.incidents.queries import must_read
from machines.models import FollowUp, Incident
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Entry
from shopsafe.school.access import Deed, allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

DEED: Deed = "record an incident"


@act
def add_follow_up(
    *, incident: Incident, words: str, by: Person, tap: UUID, day: date | None = None, at: datetime | None = None
) -> FollowUp:
    """Put something on the list, to be done by `day`. A `tap` sent again gives the same follow-up.

    Refused: access.not-yours, follow-up.tap-used, follow-up.no-words.
    """
    allow(by, DEED)
    must_read(by, incident)
    lock(incident)
    at = act_moment(incident.school_id, at)
    words = words.strip()[:300]
    asked = {"incident": incident.pk, "words": words, "day": day}
    if is_repeated(tap, "follow-up", by=by, at=at, asked=asked):
        return FollowUp.objects.get(tap=tap)
    if not words:
        raise Refused("follow-up.no-words", _("Say what changes."), 422)
    row = FollowUp.objects.create(
        school_id=incident.school_id, incident=incident, words=words, day=day, by=by, at=at, tap=tap
    )
    row.entry = _record("incident.follow_up_added", row, incident, by, at, words=words, day=day)
    row.save(update_fields=["entry"])
    return row


@act
def finish_follow_up(*, follow_up: FollowUp, words: str, by: Person, at: datetime | None = None) -> FollowUp:
    """It is done; `words` say how, where there is something to say. Refused: access.not-yours, follow-up.done."""
    allow(by, DEED)
    must_read(by, follow_up.incident)
    lock(follow_up)
    at = act_moment(follow_up.school_id, at)
    row = FollowUp.objects.select_related("incident__shop", "done_by", "school").get(pk=follow_up.pk)
    if row.done_at is not None and row.done_by is not None:
        when = clock_text(row.done_at, row.school.time_zone)
        raise Refused("follow-up.done", _("{person} marked it as done on {when}.", person=row.done_by.name, when=when))
    row.done_at, row.done_by, row.done_words = at, by, words.strip()[:300]
    row.save(update_fields=["done_at", "done_by", "done_words"])
    _record("incident.follow_up_done", row, row.incident, by, at, words=row.words, done=row.done_words)
    return row


def _record(kind: str, row: FollowUp, incident: Incident, by: Person, at: datetime, **more: Any) -> Entry:
    payload = {
        "by": by.as_record(),
        "shop": {"id": incident.shop_id, "name": incident.shop.name},
        "incident": incident.pk,
        "follow_up": row.pk,
        **more,
    }
    return append(kind=kind, school=row.school_id, at=at, payload=payload)
