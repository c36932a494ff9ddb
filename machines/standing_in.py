"""What whoever stands in sees on the screen: the substitute sheets of the classes that run, shop by shop."""

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from machines.cards import shop_then
from machines.handing_out import substitute_sheet, substitute_words_of
from machines.models import Hold
from machines.queries.records import holds_in_force, running_sections
from shopsafe.paper.handout_sheets import SubstituteSheet
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.ordering import counted


@dataclass(frozen=True)
class ShopToday:
    """A shop with its running classes. `sheet` is that of all of them: whether machines run, whom to call."""

    shop: Shop
    sheet: SubstituteSheet
    classes: list[tuple[Section, SubstituteSheet]]


@dataclass(frozen=True)
class StandingIn:
    shops: list[ShopToday]
    held: list[Hold]
    full: dict[int, str]  # student → the name told apart from the others'


def standing_in(person: Person, at: datetime) -> StandingIn:
    day = local_day(at, person.school.time_zone)
    running = sorted(running_sections(person, day), key=lambda one: (counted(one.shop.name), one.shop_id))
    shops, students, named = [], set[int](), dict[int, str]()
    for _, group in groupby(running, key=lambda one: one.shop_id):
        sections = list(group)
        then = shop_then(sections[0].shop, at)
        students |= then.members_of(())
        named |= then.named
        said = substitute_words_of(then.shop)
        classes = [(one, substitute_sheet(then, one, said)) for one in sections]
        shops.append(ShopToday(then.shop, substitute_sheet(then, None, said), classes))
    return StandingIn(shops, list(holds_in_force(students, day, at)), named)


def stays_off(person: Person, shop: Shop) -> bool:
    """Whether a substitute must be told that nothing runs there: the shop has not said that it may."""
    return person.is_substitute and not substitute_words_of(shop).runs
