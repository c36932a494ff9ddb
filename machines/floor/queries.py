"""The opening of a shop with its presence, as the rules judge it, and the settings of the floor."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from machines.floor.facts import ClosingLine, Presence, ShopHour, ShopState
from machines.floor.rows.statements import openings_now
from machines.floor.rules.closing import STARTER_LINES
from machines.floor.rules.presence import shop_state
from machines.models import FloorSettings, PresenceConfirmation, Run, RunHelper, ShopOpening
from shopsafe.school.models import Person, Shop

# Acts that follow each other while a clock catches up are microseconds apart; more than this is a clock that moved on.
SAME_MOMENT = timedelta(seconds=1)


@dataclass(frozen=True)
class OpenShop:
    """The opening that no one has closed yet, and who confirmed presence last."""

    opening: ShopOpening
    presence: PresenceConfirmation
    hour: ShopHour

    @property
    def supervisor(self) -> Person:
        return self.presence.by

    def state(self, clock: datetime) -> ShopState:
        return shop_state(self.hour, clock)


def open_shop_of(shop: int, last_entry_at: datetime | None) -> OpenShop | None:
    """The standing opening of a shop; None if it is closed. `last_entry_at`: the moment of the school's last entry."""
    return open_shops([shop], last_entry_at).get(shop)


def open_shops(shops: Iterable[int] | QuerySet[Shop], last_entry_at: datetime | None) -> dict[int, OpenShop]:
    """Shop → its standing opening. One query."""
    rows = openings_now(shops if isinstance(shops, QuerySet) else list(shops))
    return {row.opening.shop_id: _open_shop(row, ended_at, last_entry_at) for row, ended_at in rows}


def _open_shop(row: PresenceConfirmation, ended_at: datetime | None, last_entry_at: datetime | None) -> OpenShop:
    opening = row.opening
    settings = getattr(opening.shop, "floor", None)
    # The records moved on after this confirmation: the clock showed that moment, whatever it shows now.
    later = last_entry_at if last_entry_at and last_entry_at > row.at + SAME_MOMENT else None
    interval = timedelta(minutes=settings.presence_minutes if settings else 15)
    presence = Presence(row.clock, row.by.name, interval, later)
    hour = ShopHour(
        section=opening.section_id or 0,
        opened_at=opening.opened_at,
        opened_by=opening.opened_by.name,
        presence=presence,
        runs_ended_at=ended_at,
    )
    return OpenShop(opening, row, hour)


def settings_of(shop: Shop) -> FloorSettings:
    """The settings of a shop; those of a new shop, not stored, where it has none."""
    stored: FloorSettings | None = getattr(shop, "floor", None)
    return stored or FloorSettings(school_id=shop.school_id, shop=shop)


def keeps_runs(shop: int) -> bool:
    """Return True if the shop records who is at which machine."""
    return FloorSettings.objects.filter(shop=shop, keeps_runs=True).exists()


def closing_lines(settings: FloorSettings) -> list[ClosingLine]:
    """The closing list of a shop. The key of a line is its place."""
    stored = settings.closing_lines
    if stored is None:
        stored = [{"text": text, "standstill": place == 0} for place, text in enumerate(STARTER_LINES)]
    return [ClosingLine(place, line["text"], bool(line.get("standstill"))) for place, line in enumerate(stored)]


def left_undone(shop: int) -> list[tuple[str, str]]:
    """(line, what is left to do) of the last closing list of a shop, until a later list says that it is done: for the
    next teacher. A shop that no one closed answers no list. One query."""
    by_list = ShopOpening.objects.filter(shop=shop, closed_at__isnull=False, closed_how=ShopOpening.ClosedBy.LIST)
    last = by_list.order_by("-closed_at", "-pk").first()
    return [(answer["line"], answer["note"]) for answer in last.answers if not answer["done"]] if last else []


def open_runs(shop: int) -> QuerySet[Run]:
    """The runs in a shop that no one has ended, of whichever opening."""
    runs = Run.objects.filter(machine__shop=shop, ended_at=None)
    return runs.select_related("machine__kind", "student", "given_by", "opening").order_by("machine__number", "pk")


def open_help(students: Iterable[int]) -> QuerySet[RunHelper]:
    """The students who help at a run now, by name."""
    helpers = RunHelper.objects.filter(student__in=list(students), ended_at=None, run__ended_at=None)
    return helpers.select_related("run__machine__kind", "student")
