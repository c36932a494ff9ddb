"""What a substitute sees on the screen: the substitute sheets of the classes that run, shop by shop."""

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from machines.clearance.out_of_use import OutOfUse
from machines.clearance.records import holds_in_force
from machines.floor.queries import open_shops
from machines.floor.supervision import StaysOff
from machines.models import Hold, Machine
from machines.prints.sheets.substitute import substitute_facts, substitute_sheet
from machines.prints.sheets.wall import shop_snapshot
from shopsafe.act import server_time
from shopsafe.paper.rules.handout_sheets import SubstituteSheet
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import last_entry_of
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.naming.rules.ordering import number_key
from shopsafe.school.people.classes import running_sections


@dataclass(frozen=True)
class ShopToday:
    """A shop with its running classes. `sheet` is that of all of them: whether machines run, whom to call."""

    shop: Shop
    sheet: SubstituteSheet
    classes: list[tuple[Section, SubstituteSheet]]
    stays_off: StaysOff  # why no machine runs under this substitute
    off: list[tuple[Machine, OutOfUse]]  # what no one may use
    colleague: str  # who runs the shop now, if it is open under someone else


@dataclass(frozen=True)
class SubstituteDay:
    shops: list[ShopToday]
    held: list[Hold]
    full: dict[int, str]  # student → the name distinguished from the others'


def substitute_day(person: Person, at: datetime) -> SubstituteDay:
    day = local_day(at, person.school.time_zone)
    running = sorted(
        running_sections(person, day), key=lambda section: (number_key(section.shop.name), section.shop_id)
    )
    shops, students, named = [], set[int](), dict[int, str]()
    standing = open_shops({section.shop_id for section in running}, last_entry_of(person))
    opened = {pk: now for pk, now in standing.items() if now.state(server_time()).is_open}
    for _, group in groupby(running, key=lambda section: section.shop_id):
        sections = list(group)
        snapshot = shop_snapshot(sections[0].shop, at)
        students |= snapshot.members_of(())
        named |= snapshot.named
        facts = substitute_facts(snapshot, reader=person)
        classes = [(section, substitute_sheet(snapshot, section, facts)) for section in sections]
        now = opened.get(snapshot.shop.pk)
        shops.append(
            ShopToday(
                snapshot.shop,
                substitute_sheet(snapshot, None, facts),
                classes,
                stays_off=("grant" if facts.words.runs else "sheet") if not facts.grants else "",
                off=[
                    (of, snapshot.out_of_use[of.pk]) for of in snapshot.matrix.machines if of.pk in snapshot.out_of_use
                ],
                colleague=now.supervisor.name if now and now.supervisor.pk != person.pk else "",
            )
        )
    return SubstituteDay(shops, list(holds_in_force(students, day, at)), named)
