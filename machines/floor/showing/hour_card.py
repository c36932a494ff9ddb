"""A shop as the page Today shows it beside a class: closed with one button to open it, or open with what is left.

cards = open_cards(request.user)  # one query
card = card_today(request.user, section, cards)
{% include "machines/floor/hours/hour_card.html" %}
{% include "machines/floor/hours/left_open.html" %} with left_open, the cards that are left open
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from machines.floor.facts import ShopState, ShopStatus
from machines.floor.queries import OpenShop, open_shops
from machines.floor.rows.bells import bells_of
from machines.floor.rules.presence import is_closing_overdue, presence_ends, presence_left, shop_state
from machines.floor.supervision import granted_today
from shopsafe.act import server_time
from shopsafe.school.access import shops_for
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import last_entry_of
from shopsafe.school.models import Person, Section, Shop

LAST_MINUTES = 3  # from here on the button says how little is left
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class HourCard:
    """One shop with the class that it is, or would be, opened for.

    may_run      the reader may open it and confirm presence: a teacher of the shop, or a substitute by a grant
    left_open    presence is over, or the bell was ten minutes ago, and no one went through the closing list
    """

    shop: Shop
    section: Section | None
    now: OpenShop | None
    state: ShopState
    clock: datetime
    reader: Person
    may_run: bool
    left_open: bool

    @property
    def mine(self) -> bool:
        """The reader supervises it."""
        return self.now is not None and self.now.supervisor.pk == self.reader.pk

    @property
    def for_this_class(self) -> bool:
        return self.now is not None and self.section is not None and self.now.opening.section_id == self.section.pk

    @property
    def minutes_left(self) -> int:
        """Full minutes until presence runs out, rounded up."""
        return -(-self.seconds_left // 60)

    @property
    def seconds_left(self) -> int:
        left = presence_left(self.now.hour.presence, self.clock) if self.now else timedelta(0)
        return int(left.total_seconds())

    @property
    def interval_minutes(self) -> int:
        return self.now.hour.presence.interval // MINUTE if self.now else 15

    @property
    def nearly_over(self) -> bool:
        return self.minutes_left <= LAST_MINUTES

    @property
    def ran_out(self) -> bool:
        return self.state.status == ShopStatus.PRESENCE_OVER

    @property
    def comes_back(self) -> bool:
        """Presence ran out, and the reader brings the shop back by confirming it: on the same day and for this class.
        A shop with machines on its list cannot be opened again before each was seen to stand still."""
        if self.now is None or not self.ran_out or not self.may_run or self.now.opening.section != self.section:
            return False
        zone = self.shop.school.time_zone
        return local_day(self.now.presence.at, zone) == local_day(self.clock, zone)

    @property
    def ruler_width(self) -> int:
        return 20 * self.interval_minutes + 2

    @property
    def ruler(self) -> tuple[int, list[tuple[int, bool]]]:
        """The ruler of what is left: the length of its bar, and for each tick the place and whether it is a long one.
        Twenty units a minute."""
        ticks = [(1 + 20 * minute, minute % 5 == 0) for minute in range(self.interval_minutes + 1)]
        return 20 * self.minutes_left, ticks


def hour_card(
    shop: Shop, section: Section | None, now: OpenShop | None, reader: Person, clock: datetime,
    bell: datetime | None = None, granted: Iterable[int] = (),
) -> HourCard:  # fmt: skip
    """The card of one shop. `bell`: the end of the meeting for which it was opened, if a timetable says so."""
    state = shop_state(now.hour if now else None, clock)
    of = now.opening.section_id if now and state.status != ShopStatus.PRESENCE_OVER else section and section.pk
    may_run = reader.is_teacher or (reader.is_substitute and of in set(granted))
    overdue = is_closing_overdue(now.hour, bell, clock) if now else False
    left = now is not None and (
        overdue
        or (state.status == ShopStatus.PRESENCE_OVER and clock >= presence_ends(now.hour.presence) + 10 * MINUTE)
    )
    return HourCard(shop, section, now, state, clock, reader, may_run, left)


def section_open_for(cards: Iterable[HourCard]) -> int | None:
    """The class with which the reader runs a shop now: the one to show first."""
    return next((card.section.pk for card in cards if card.mine and card.section and not card.ran_out), None)


def card_today(reader: Person, section: Section, cards: Iterable[HourCard]) -> HourCard:
    """The card of the shop of a class, out of the open ones."""
    card = next((card for card in cards if card.shop.pk == section.shop_id), None)
    if card is None or card.section != section:
        granted = granted_today(reader, server_time()) if reader.is_substitute else []
        now = card.now if card else None
        card = hour_card(section.shop, section, now, reader, server_time(), granted=granted)
    return card


def left_open(reader: Person) -> list[HourCard]:
    """The shops in the reader's sight that no one closed: for the office. One query while every shop is closed."""
    return [card for card in open_cards(reader) if card.left_open]


def open_cards(reader: Person) -> list[HourCard]:
    """The open shops in the reader's sight, each for the class that it was opened for."""
    clock, opened = server_time(), open_shops(shops_for(reader), last_entry_of(reader))
    bells = bells_of([now.opening for now in opened.values()], reader.school)
    granted = granted_today(reader, clock) if reader.is_substitute and opened else []
    return [
        hour_card(now.opening.shop, now.opening.section, now, reader, clock, bells.get(now.opening.pk), granted)
        for now in opened.values()
    ]
