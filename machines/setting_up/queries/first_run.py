"""How far a new shop has come: the five steps from an empty room to cards on the wall."""

from dataclasses import dataclass
from datetime import datetime

from machines.clearance.loading import asked_by_machine
from machines.clearance.records import machines_for
from machines.models import Machine, Print
from quizzes.access import banks_for
from quizzes.banks.editions.approved import practice_only
from quizzes.models import Bank
from shopsafe.school import access
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.people.queries import students_of

GENERAL = "general-shop-safety"


@dataclass(frozen=True)
class FirstRun:
    """`unread_banks`: the banks that the shop's machines ask for and no teacher accepts, general safety first."""

    shop: Shop | None
    section: Section | None
    machines: int
    students: int
    banks: int
    unread: list[Bank]
    printed: int
    shops_in_school: bool

    @property
    def states(self) -> list[bool]:
        """Which of the five steps are done."""
        rules = bool(self.machines) and not self.unread
        return [self.section is not None, bool(self.machines), bool(self.students), rules, bool(self.printed)]

    @property
    def next(self) -> int:
        """The first step that is not done, from 1; 0 when all are."""
        return self.states.index(False) + 1 if False in self.states else 0


def first_run_of(person: Person, at: datetime) -> FirstRun:
    shop = access.shops_for(person).order_by("pk").first()
    sections = access.sections_for(person).filter(shop=shop).order_by("-pk") if shop else None
    section = sections.first() if sections is not None else None
    machines = list(Machine.objects.filter(shop=shop, retired_at=None)) if shop else []
    asked = banks_asked(person, machines, at)
    return FirstRun(
        shop=shop,
        section=section,
        machines=len(machines),
        students=len(students_of(section)) if section else 0,
        banks=len(asked),
        unread=unread_banks(person, asked, at),
        printed=Print.objects.filter(shop=shop).count() if shop else 0,
        shops_in_school=Shop.objects.filter(school=person.school_id).exists(),
    )


def banks_asked(person: Person, machines: list[Machine], at: datetime) -> set[int]:
    """The banks that these machines ask for."""
    asked = asked_by_machine(person.school_id, at)
    return {bank.bank for machine in machines if machine.pk in asked for bank in asked[machine.pk].banks}


def unread_banks(person: Person, asked: set[int], at: datetime) -> list[Bank]:
    waiting = asked & practice_only(person.school_id, at)
    banks = banks_for(person).filter(pk__in=waiting).defer("draft")
    return sorted(banks, key=lambda bank: (bank.code != GENERAL, bank.subject))


def unread_in_shops(person: Person, at: datetime) -> int:
    """How many banks that the machines of a person's shops ask for are practice only."""
    practice = practice_only(person.school_id, at)
    if not practice:
        return 0
    machines = list(machines_for(person).filter(retired_at=None))
    return len(banks_asked(person, machines, at) & practice)
