"""A shop as the page Today shows it beside a class: closed with one button to open it, or open with what is left.

cards = hour_cards(request.user, sections)
{% include "machines/floor/hour_card.html" with card=card %}
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from machines.floor.facts import ShopState, ShopStatus
from machines.floor.queries import OpenShop, open_shops
from machines.floor.rules.presence import is_closing_overdue, presence_ends, presence_left, shop_state
from machines.floor.supervision import granted_today
from shopsafe.act import server_time
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


def hour_cards(
    reader: Person, sections: Iterable[Section], bells: Mapping[int, datetime] | None = None
) -> dict[int, HourCard]:
    """Class → the card of its shop. `bells`: class → the end of its meeting today. One query, for a substitute two."""
    sections, clock = list(sections), server_time()
    opened = open_shops({section.shop_id for section in sections}, last_entry_of(reader))
    granted = granted_today(reader, clock) if reader.is_substitute else []
    cards = {}
    for section in sections:
        now = opened.get(section.shop_id)
        bell = (bells or {}).get(now.opening.section_id or 0) if now else None
        cards[section.pk] = hour_card(section.shop, section, now, reader, clock, bell, granted)
    return cards


def left_open(shops: Iterable[Shop], reader: Person, bells: Mapping[int, datetime] | None = None) -> list[HourCard]:
    """The shops that no one closed: for Today and the office. One query."""
    by_pk, clock = {shop.pk: shop for shop in shops}, server_time()
    cards = []
    for pk, now in open_shops(by_pk, last_entry_of(reader)).items():
        bell = (bells or {}).get(now.opening.section_id or 0)
        card = hour_card(by_pk[pk], now.opening.section, now, reader, clock, bell)
        cards += [card] if card.left_open else []
    return cards
