"""How a shop keeps its floor: whether runs are kept, how often presence is confirmed, the closing list, the plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from machines.floor.queries import closing_lines, open_runs, settings_of
from machines.models import FloorSettings, Machine
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Shop
from shopsafe.school.naming.rules.characters import unprintable
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

MOST_LINES, LINE_MAX = 20, 120


@dataclass(frozen=True)
class FloorWishes:
    """What a teacher sets. `lines` as text in their order; the first says that all machines have stopped."""

    keeps_runs: bool
    presence_minutes: int
    lines: tuple[str, ...]
    wall_before: str = ""
    wall_after: str = ""


@act
def set_floor(*, shop: Shop, wishes: FloorWishes, by: Person, tap: UUID, at: datetime | None = None) -> FloorSettings:
    """The settings of a shop's floor. Runs can't be turned off while one is open.

    Refused: access.not-yours, floor.minutes, floor.lines, floor.runs-open, name.character, floor.tap-used.
    """
    allow(by, "set requirements", shop=shop)
    lock(shop)
    at = act_moment(shop.school_id, at)
    row = _stored(shop)
    lines = [line.strip() for line in wishes.lines if line.strip()]
    asked = {"shop": shop.pk, "lines": lines, "runs": wishes.keeps_runs, "minutes": wishes.presence_minutes}
    asked |= {"walls": [wishes.wall_before, wishes.wall_after]}
    if is_repeated(tap, "floor", by=by, at=at, asked=asked):
        return row
    _check(shop, wishes, lines)
    row.keeps_runs, row.presence_minutes = wishes.keeps_runs, wishes.presence_minutes
    row.wall_before, row.wall_after = wishes.wall_before.strip()[:40], wishes.wall_after.strip()[:40]
    if lines != [line.text for line in closing_lines(row)]:
        row.closing_lines = [{"text": text, "standstill": place == 0} for place, text in enumerate(lines)]
    row.set_at, row.set_by = at, by
    row.save()
    append(kind="floor.set", school=shop.school_id, at=at, payload=_payload(row, by))
    return row


def _check(shop: Shop, wishes: FloorWishes, lines: list[str]) -> None:
    if not 2 <= wishes.presence_minutes <= 60:
        raise Refused("floor.minutes", _("Enter a number of minutes from 2 to 60."), 422)
    if not 1 <= len(lines) <= MOST_LINES:
        raise Refused("floor.lines", _("The closing list has from 1 to {most} lines.", most=MOST_LINES), 422)
    for line in lines:
        if len(line) > LINE_MAX:
            raise Refused(
                "floor.lines", _("Shorten “{line}…” to {most} characters.", line=line[:40], most=LINE_MAX), 422
            )
        if character := unprintable(line):
            raise Refused(
                "name.character",
                _("“{line}” holds the character {character}. Take it out.", line=line[:40], character=character),
                422,
            )
    if len(set(lines)) < len(lines):
        raise Refused("floor.lines", _("Two lines of the closing list say the same. Take one out."), 422)
    if not wishes.keeps_runs and open_runs(shop.pk).exists():
        raise Refused("floor.runs-open", _("A run is open. Mark the machine as stopped first."))


@act
def order_tiles(*, shop: Shop, machines: Sequence[Machine], by: Person, at: datetime | None = None) -> FloorSettings:
    """The tiles in the order of the room. It says nothing about safety, so the logbook does not record it.

    Refused: access.not-yours, floor.other-shop.
    """
    allow(by, "set requirements", shop=shop)
    lock(shop)
    at = act_moment(shop.school_id, at)
    if any(machine.shop_id != shop.pk for machine in machines):
        raise Refused("floor.other-shop", _("One of these machines is in another shop. Open the page again."), 422)
    row = _stored(shop)
    row.tile_order = [machine.pk for machine in machines]
    row.set_at, row.set_by = at, by
    row.save()
    return row


def _stored(shop: Shop) -> FloorSettings:
    return FloorSettings.objects.filter(shop=shop).first() or settings_of(shop)


def _payload(row: FloorSettings, by: Person) -> dict[str, object]:
    return {
        "shop": {"id": row.shop_id, "name": row.shop.name},
        "by": by.as_record(),
        "keeps_runs": row.keeps_runs,
        "presence_minutes": row.presence_minutes,
        "closing_lines": [line.text for line in closing_lines(row)],
    }
