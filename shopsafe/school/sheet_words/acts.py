"""A shop words its safety agreement or its substitute sheet again."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from shopsafe.act import act
from shopsafe.conventions import written_day
from shopsafe.language.messages import _
from shopsafe.language.stored import as_stored
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, SheetWords, Shop
from shopsafe.school.refusals import Refused


@act
def set_words(
    *, shop: Shop, sheet: str, words: Mapping[str, Any], instead_of: int, by: Person, at: datetime | None = None
) -> SheetWords:
    """What the sheet says from now on. `instead_of` is the key of the words it was begun from, 0 for our own.

    The same words again change nothing. Refused: access.not-yours, words.changed.
    """
    allow(by, "word a sheet", shop=shop)
    lock(shop)  # two who write at once come one after the other
    at = act_moment(shop.school_id, at)
    before = SheetWords.objects.filter(shop=shop, sheet=sheet).select_related("set_by").last()
    if before and before.words == dict(words):
        return before
    if (before.pk if before else 0) != instead_of:
        raise Refused("words.changed", _changed(before, shop))
    row = SheetWords.objects.create(
        school_id=shop.school_id, shop=shop, sheet=sheet, words=dict(words), set_at=at, set_by=by
    )
    payload = {
        "by": by.as_record(),
        "shop": {"id": shop.pk, "name": shop.name},
        "sheet": as_stored(row.get_sheet_display),
    }
    append(kind="words.set", school=shop.school_id, at=at, payload={**payload, "words": row.words})
    return row


def _changed(before: SheetWords | None, shop: Shop) -> str:
    if before is None:
        return _("Someone went back to other words. Open this page again.")
    day = local_day(before.set_at, shop.school.time_zone)
    return _(
        "{person} changed these words on {day} while you were writing. Yours are still below: copy them, "
        "open this page again, and put in what you need.",
        person=before.set_by.name,
        day=written_day(day),
    )
