"""What the sheets on the wall say, loaded from the records: one shop at one moment, read once for all its sheets."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from functools import cached_property
from hashlib import sha256
from typing import Any

import rfc8785

from machines.clearance.facts import ClearanceResult
from machines.clearance.loading import SchoolRequirements, asks_at
from machines.clearance.out_of_use import OutOfUse
from machines.clearance.queries import Matrix, judged, machines_of
from machines.floor.queries import left_undone
from machines.models import Machine
from machines.prints.rules.posted import SheetContents
from machines.prints.rules.unapproved import UnapprovedEdition, card_note, footnotes
from quizzes.banks.editions.approved import is_accepted
from quizzes.banks.editions.texts import text_of
from quizzes.banks.rules.counting import unapproved_latest
from quizzes.models import Edition
from quizzes.questions.unit_systems import shown
from shopsafe.conventions import conventions_in_use
from shopsafe.language.messages import _, marked
from shopsafe.language.stored import shown_and_stored
from shopsafe.paper.rules import sheets
from shopsafe.paper.rules.handout_sheets import PocketCard
from shopsafe.paper.rules.names import Name
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.naming.name_labels import full_names_of, name_of
from shopsafe.school.naming.rules.ordering import in_order, people_in_order
from shopsafe.school.people.classes import enrolled

RULES_ON_A_CARD, NUMBERS_ON_A_CARD = 4, 2
# What came onto sheets when some were posted already: a sheet without it still says the same.
LATER = ("note", "notes", "numbers", "tagged_out", "dated")
PREVIEW = "PREVIEW"  # where the code will stand
WHEELS_NOTE = marked("{machines}: {rules}. Wheels there stand for a pass on {edition}.")


@dataclass(frozen=True)
class ShopSnapshot:
    """One shop at one moment: its classes of the term, who is in them, and who may use what."""

    shop: Shop
    at: datetime
    today: date
    sections: list[Section]
    members: dict[int, set[int]]  # class → students
    matrix: Matrix[ClearanceResult]
    out_of_use: dict[int, OutOfUse]
    rules: dict[int, tuple[str, ...]]  # bank a teacher accepts → the rules every card of its kind carries
    doubts: dict[int, tuple[UnapprovedEdition, ...]]  # machine → the quizzes it asks for that are practice only now

    @cached_property
    def left_undone(self) -> tuple[str, ...]:
        """What the last closing list left to do, a line each. One query, where a sheet says it."""
        return tuple(
            _("Left at the last closing. {line}: {note}", line=line, note=note)
            for line, note in left_undone(self.shop.pk)
        )

    def card(self, machine: Machine, sections: Collection[Section] = ()) -> tuple[sheets.WallCard, SheetContents]:
        """The card of one machine for these classes, or for the whole shop; code and address are put in later."""
        people = self.members_of(sections)
        column = [
            (member, answer) for member, answer in self.matrix.column(machine) if member.pk in people and answer.cleared
        ]
        off = self.out_of_use.get(machine.pk)
        if off:
            column = []
        card, stored = shown_and_stored(lambda: self._wall_card(machine, sections, column))
        cleared = frozenset((student.pk, machine.pk) for student, _answer in column)
        return card, SheetContents(cleared, words(stored), card.valid_until, off.key if off else None)

    def _wall_card(
        self, machine: Machine, sections: Collection[Section], column: Sequence[tuple[Person, ClearanceResult]]
    ) -> sheets.WallCard:
        off, doubts = self.out_of_use.get(machine.pk), self.doubts.get(machine.pk, ())
        accepted = (machine.kind.bank_id is None or machine.kind.bank_id in self.rules) and all(
            doubt.open for doubt in doubts
        )
        return sheets.WallCard(
            machine=str(machine),
            scope=self.scope(sections),
            names=tuple(self.name_on_card(student) for student, _ in column),
            stop=machine.kind.stop,
            printed=self.today,
            valid_until=self.valid_until(answer for _, answer in column),
            code=PREVIEW,
            url="",
            protect=tuple(machine.kind.protect),
            pre_use=tuple(machine.kind.pre_use),
            rules=self.rules.get(machine.kind.bank_id or 0, ()),
            stop_and_ask=tuple(machine.kind.stop_and_ask),
            accepted=accepted,
            note=card_note(doubts, names=bool(column)) if accepted and not off else "",
            tagged_out=self.note(off) if off else None,
            demo=self.shop.school.is_demo,
        )

    def chart(self, section: Section) -> tuple[sheets.WallChart, SheetContents]:
        """The chart of one class and every machine of the shop. A machine out of use has a column without wheels, and a
        wheel that ends before the term does carries its last day."""
        people = self.members_of([section])
        students = [student for student in self.matrix.students if student.pk in people]
        until = section.term.last_day
        wheels = {student.pk: self._wheels(student, until) for student in students}
        rows = tuple(self._chart_row(student, wheels[student.pk]) for student in students)
        wheeled = {place for cells in wheels.values() for place in cells}
        chart, stored = shown_and_stored(lambda: self._wall_chart(section, rows, wheeled))
        machines = self.matrix.machines
        keyed = [(pk, machines[place].pk, day) for pk, cells in wheels.items() for place, day in cells.items()]
        cleared = frozenset((pk, machine) for pk, machine, _day in keyed)
        days = frozenset((pk, machine, day) for pk, machine, day in keyed if day)
        return chart, SheetContents(cleared, words(stored), until, None, days, frozenset(self.out_of_use))

    def _wall_chart(
        self, section: Section, rows: tuple[sheets.ChartRow, ...], wheeled: Collection[int]
    ) -> sheets.WallChart:
        """`wheeled`: the places of the machines that have a wheel on the chart."""
        machines = self.matrix.machines
        numbers = tuple(machine.number for machine in machines)
        return sheets.WallChart(
            scope=section.name,
            machines=tuple(str(machine) for machine in machines),
            rows=rows,
            printed=self.today,
            valid_until=section.term.last_day,
            code=PREVIEW,
            url="",
            notes=self.footnotes(
                {machine.pk: str(machine.number) for place, machine in enumerate(machines) if place in wheeled},
                WHEELS_NOTE,
            ),
            demo=self.shop.school.is_demo,
            numbers=() if numbers == tuple(range(1, len(numbers) + 1)) else numbers,
            tagged_out=tuple(
                (place, self.note(self.out_of_use[machine.pk]))
                for place, machine in enumerate(machines)
                if machine.pk in self.out_of_use
            ),
        )

    def _wheels(self, student: Person, until: date) -> dict[int, date | None]:
        """The places of a student's wheels on a chart that ends with `until`, each with its own last day if earlier."""
        places = {}
        for place, (machine, answer) in enumerate(self.matrix.row(student)):
            if answer.cleared and machine.pk not in self.out_of_use:
                last = self.valid_until([answer])
                places[place] = last if last and last < until else None
        return places

    def _chart_row(self, student: Person, wheels: Mapping[int, date | None]) -> sheets.ChartRow:
        """A wheel that ends on the day of printing is left blank: the chart is on the wall the day after."""
        lasting = {place: day for place, day in wheels.items() if day is None or day > self.today}
        dated = tuple((place, day) for place, day in lasting.items() if day)
        return sheets.ChartRow(name_of(student), frozenset(lasting), dated)

    def note(self, off: OutOfUse) -> sheets.TagOutNote:
        since = local_day(off.at, self.zone) if off.at else self.today
        return sheets.TagOutNote(off.reason, since, off.by, off.label)

    def footnotes(self, shown: Mapping[int, str], note: str) -> tuple[str, ...]:
        """What a sheet says below of quizzes that are practice only, for the machines on it that have names: each by
        how the sheet calls it."""
        return footnotes([(called, self.doubts.get(machine, ())) for machine, called in shown.items()], note)

    @cached_property
    def named(self) -> dict[int, str]:
        """Student → the full name, distinguished from everyone else's in the shop."""
        return full_names_of(self.matrix.students)

    def name_on_card(self, student: Person) -> Name:
        """A person named like someone else of the shop is there whole and with the mark, even if the other is
        not on the card: it must not let the other through."""
        short_name = self.named[student.pk]
        return name_of(student) if short_name == student.name else Name(short_name)

    @property
    def zone(self) -> str:
        return self.shop.school.time_zone

    def members_of(self, sections: Collection[Section]) -> set[int]:
        return set().union(*(self.members.get(section.pk, set()) for section in sections or self.sections))

    def scope(self, sections: Collection[Section]) -> str:
        """ "Period 1, Period 3", or "All classes of Room W2"."""
        names = ", ".join(section.name for section in in_order(sections))
        return names or _("All classes of {shop}", shop=self.shop.name)

    def cleared_in_use(self, student: Person) -> list[tuple[Machine, ClearanceResult]]:
        """The machines that a student may use, but for those that are out of use now."""
        row = self.matrix.row(student)
        return [(machine, answer) for machine, answer in row if answer.cleared and machine.pk not in self.out_of_use]

    def last_day(self, answers: Iterable[ClearanceResult]) -> date | None:
        """The last whole day on which any of these clearances holds; None if one has no end, or there is none."""
        ends = [self.valid_until([answer]) for answer in answers]
        return max((end for end in ends if end), default=None) if all(ends) else None

    def valid_until(self, answers: Iterable[ClearanceResult]) -> date | None:
        """The last whole day on which every one of these clearances still holds if nothing happens."""
        ends = min((answer.ending.at for answer in answers if answer.ending), default=None)
        return local_day(ends - datetime.resolution, self.zone) if ends else None


def shop_snapshot(shop: Shop, at: datetime) -> ShopSnapshot:
    """Nine queries, however many classes, students and machines; one or two more where a machine is out of use, and one
    where a clearance expires unused."""
    # anyone who looks, even a stranger who scanned a code: a sheet says what its school would print.
    with conventions_in_use(shop.school.conventions):
        return _shop_snapshot(shop, at)


def _shop_snapshot(shop: Shop, at: datetime) -> ShopSnapshot:
    today = local_day(at, shop.school.time_zone)
    running = {"term__first_day__lte": today, "term__last_day__gte": today}
    sections = in_order(Section.objects.filter(shop=shop, **running).select_related("term", "school"))
    in_class = enrolled(sections, at)
    students = people_in_order({student for people in in_class.values() for student in people})
    machines = machines_of(shop.pk, at)
    asks = asks_at(shop.school_id, at)
    return ShopSnapshot(
        shop=shop,
        at=at,
        today=today,
        sections=sections,
        members={section: {student.pk for student in people} for section, people in in_class.items() if people},
        matrix=judged(students, machines, shop.school, asks, at),
        out_of_use=asks.out_of_use(machine.pk for machine in machines),
        rules=rules_of({machine.kind.bank_id for machine in machines if machine.kind.bank_id}, at),
        doubts=doubts_of(asks, machines, at),
    )


def doubts_of(
    asks: SchoolRequirements, machines: Iterable[Machine], at: datetime
) -> dict[int, tuple[UnapprovedEdition, ...]]:
    """Machine → the quizzes it asks for whose latest rules no teacher accepts. No query."""
    asked = asks.as_facts()
    banks = {machine.pk: [bank for bank in asked[machine.pk].banks if not bank.accepted] for machine in machines}
    unapproved = {bank.bank for these in banks.values() for bank in these} & asks.publications.keys()
    states = {bank: unapproved_latest(asks.publications[bank], at) for bank in unapproved}
    return {
        machine: tuple(UnapprovedEdition(bank.subject, state) for bank in these if (state := states.get(bank.bank)))
        for machine, these in banks.items()
    }


def rules_of(banks: Collection[int], at: datetime) -> dict[int, tuple[str, ...]]:
    """The first of the rules that are asked every time, of each bank's latest edition that is accepted at `at`."""
    editions = Edition.objects.filter(is_accepted(at), bank__in=banks).order_by("number").defer("content")
    latest = {edition.bank_id: edition for edition in editions}
    rules_by_bank = {}
    for bank, edition in latest.items():
        text = text_of(edition).bank
        first = [rule for rule in text.live_rules if rule.must_ask] or text.live_rules
        rules = first[:RULES_ON_A_CARD]
        numbers = dict.fromkeys(value for rule in rules for value in text.values_of_rule.get(rule.code, ()))
        number_lines = [f"{value.says}: {shown(value)}" for value in numbers]
        rules_by_bank[bank] = (*(rule.says for rule in rules), *number_lines[:NUMBERS_ON_A_CARD])
    return rules_by_bank


def words(sheet: sheets.WallCard | sheets.WallChart | PocketCard) -> str:
    """Digest of what a sheet says, but for its code, the days on it, and the wheels of a chart."""
    plain = asdict(sheet) | {"printed": date.min, "valid_until": None, "code": "", "url": ""}
    if isinstance(sheet, sheets.WallChart):
        plain["rows"] = [asdict(row.name) for row in sheet.rows]
    if isinstance(sheet, PocketCard):
        plain["dated"] = ()
    plain = {key: value for key, value in plain.items() if value or key not in LATER}
    return sha256(rfc8785.dumps(_jsonable(plain))).hexdigest()


def _jsonable(value: object) -> Any:
    if isinstance(value, dict):
        return {key: _jsonable(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_jsonable(item) for item in value]
    if isinstance(value, (set, frozenset)):
        return sorted(value)
    return value.isoformat() if isinstance(value, date) else value
