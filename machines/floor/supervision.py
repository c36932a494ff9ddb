"""Who may run a shop now: its teachers, and a substitute if its substitute sheet and a grant for the day say so."""

from datetime import datetime, timedelta
from typing import Literal

from machines.floor.facts import SupervisingGrant as Grant
from machines.floor.queries import open_shop_of
from machines.floor.rules.presence import shop_state, substitute_may_open
from machines.models import PresenceConfirmation, SupervisingGrant
from shopsafe.language.messages import _, marked
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Shop
from shopsafe.school.refusals import Refused
from shopsafe.school.sheet_words.queries import substitute_words_of

# One confirmation a minute is enough: a teacher who signs off six students in a row is here once.
OFTEN_ENOUGH = timedelta(minutes=1)
NO_GRANT = marked(
    "A substitute may run this shop only with a class and on a day that its teacher or the "
    "office granted. Ask the office."
)
SHEET_SAYS_NO = marked("The substitute sheet of {shop} says that no machine runs under a substitute. Ask the office.")
StaysOff = Literal["", "sheet", "grant"]


def allow_floor(by: Person, shop: Shop, section: int | None, at: datetime) -> None:
    """Return if `by` may run this shop with this class now; otherwise raise Refused, status 403."""
    allow(by, "run the floor", shop=shop)
    if by.is_substitute and not may_supervise(by, section, at):
        raise Refused("floor.no-grant", _(NO_GRANT), 403)
    if by.is_substitute and not substitute_words_of(shop).runs:
        raise Refused("floor.sheet-says-no", _(SHEET_SAYS_NO, shop=shop.name), 403)


def may_supervise(substitute: Person, section: int | None, at: datetime) -> bool:
    """Return True if a grant for this class and the day of `at` stands."""
    if section is None:
        return False
    day = local_day(at, substitute.school.time_zone)
    rows = SupervisingGrant.objects.filter(substitute=substitute, section=section, day=day).select_related("by")
    grants = [Grant(section, frozenset({row.day}), row.by.name, row.withdrawn_at) for row in rows]
    return substitute_may_open(grants, section, day, at)


def granted_today(substitute: Person, at: datetime, shop: Shop | None = None) -> list[int]:
    """The classes with which a substitute may run their shop today; those of one shop, if one is given.

    A grant counts only where the substitute sheet of the shop lets machines run.
    """
    day = local_day(at, substitute.school.time_zone)
    rows = SupervisingGrant.objects.filter(substitute=substitute, day=day, withdrawn_at=None)
    if shop is not None:
        rows = rows.filter(section__shop=shop)
    granted = list(rows.select_related("section__shop"))
    shops = {row.section.shop for row in granted}
    allowing = {of.pk for of in shops if substitute_words_of(of).runs}
    return [row.section_id for row in granted if row.section.shop_id in allowing]


def stays_off(reader: Person, shop: Shop, at: datetime, section: int | None = None) -> StaysOff:
    """Why a substitute must read that nothing runs there today, with this class or with any; empty where it may."""
    if not reader.is_substitute:
        return ""
    granted = granted_today(reader, at, shop)
    if section in granted if section else granted:
        return ""
    return "grant" if substitute_words_of(shop).runs else "sheet"


def presence_payload(row: PresenceConfirmation) -> dict[str, object]:
    """What the logbook says of a confirmation of presence."""
    shop = row.opening.shop
    return {
        "by": row.by.as_record(),
        "shop": {"id": shop.pk, "name": shop.name},
        "opening": row.opening_id,
        "presence": row.pk,
        "means": row.means,
        "clock": row.clock,
    }


def confirm_by_deed(
    shop: int, by: Person, means: str, at: datetime, clock: datetime, last_entry_at: datetime | None
) -> PresenceConfirmation | None:
    """The confirmation of presence that a sign-off or a start is; None where it confirms nothing.

    It keeps an open shop open. It never opens one whose time is over, and it is the supervisor's alone: a colleague
    takes over by name. Call it in an act, which then appends the entry.
    """
    now = open_shop_of(shop, last_entry_at)
    if now is None or now.supervisor.pk != by.pk or not shop_state(now.hour, clock).is_open:
        return None
    if clock - now.presence.clock < OFTEN_ENOUGH:
        return None
    return PresenceConfirmation.objects.create(
        school_id=by.school_id, opening=now.opening, by=by, means=means, at=at, clock=clock
    )
