"""Builds the demo school: each step is an act, at the moment it would have happened."""

import random
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from django.db import transaction

from machines.demo.days import Lived, act_out, school_morning
from machines.demo.earlier_years import earlier_years
from machines.demo.incidents import incidents
from machines.demo.learning import Learner
from machines.demo.period import period_in_progress
from machines.demo.story import TERM_DAYS, story
from machines.demo.timetable import set_demo_timetable
from machines.demo.trouble import troubles
from machines.demo.upkeep import upkeep
from machines.models import Machine, MachineKind
from machines.setting_up.acts.kinds import load_kinds
from machines.setting_up.acts.machines import add_machine
from quizzes.banks.editions.acts import accept_bank
from quizzes.banks.editions.starter_banks import load_shelf
from quizzes.figures.counting import add_counts
from quizzes.figures.queries import latest_text
from quizzes.models import Bank
from shopsafe.school.models import Person, Section, Term
from shopsafe.school.people.acts.documents import record_document
from shopsafe.school.people.queries import students_of
from shopsafe.school.places.acts.founding import found_school
from shopsafe.school.places.acts.set_up import add_section, add_shop, add_staff, add_term
from shopsafe.school.rosters.acts import import_roster
from shopsafe.school.rosters.rules import read_file
from shopsafe.school.sheet_words.acts import set_words

GENERAL = "general-shop-safety"
EARLIER_STUDENTS = 400  # of last year, known as counts alone


@dataclass
class Demo:
    """What is being built: the plan from the file, and who and what there is so far."""

    plan: dict[str, Any]
    at: datetime
    office: Person
    staff: dict[str, Person] = field(default_factory=dict)
    sections: list[Section] = field(default_factory=list)
    machines: list[Machine] = field(default_factory=list)

    def ago(self, days: int, minutes: int = 0) -> datetime:
        """A school morning that many days before the demo is loaded."""
        return school_morning(self.at, days, self.plan["time_zone"]) + timedelta(minutes=minutes)


def read_plan(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "alderbeck.toml").read_text(encoding="utf-8"))


def build(*, folder: Path, shelf: Path, at: datetime) -> Demo:
    """The whole school, or nothing of it: an interrupted build leaves the database as it was."""
    whole = transaction.atomic()
    # The acts inside are durable each for themselves; here the demo as a whole is the act.
    whole._from_testcase = True  # type: ignore[attr-defined]
    with whole:
        demo = _people(read_plan(folder), at)
        _shop(demo, shelf)
        _classes(demo)
        set_demo_timetable(demo.sections, demo.office, demo.ago(TERM_DAYS + 1), at)
        _earlier_years(demo)
        act_out([*_lives(demo), *troubles(demo), *upkeep(demo), *incidents(demo)])
        period_in_progress(demo.office.school, at)
    return demo


def _people(plan: dict[str, Any], at: datetime) -> Demo:
    founded = school_morning(at, TERM_DAYS + 5, plan["time_zone"])
    by_role = {staff_member["role"]: staff_member for staff_member in plan["staff"]}
    first = by_role["office"]
    office = found_school(
        name=plan["school"],
        time_zone=plan["time_zone"],
        office_name=f"{first['given']} {first['family']}",
        password=first["code"],
        at=founded,
    )
    office.school.is_demo = True
    office.school.save(update_fields=["is_demo"])
    demo = Demo(plan=plan, at=at, office=office, staff={first["key"]: office})
    for staff_member in plan["staff"]:
        if staff_member["key"] not in demo.staff:
            demo.staff[staff_member["key"]] = add_staff(
                name=f"{staff_member['given']} {staff_member['family']}",
                given=staff_member["given"],
                family=staff_member["family"],
                role=staff_member["role"],
                password=staff_member["code"],
                shops=[],
                by=office,
                at=founded,
            )
    return demo


def _teachers(demo: Demo) -> list[Person]:
    return [person for person in demo.staff.values() if person.is_teacher]


def _shop(demo: Demo, shelf: Path) -> None:
    """The shop with its machines, and every bank of the shelf read and accepted."""
    at = demo.ago(TERM_DAYS + 4)
    shop = add_shop(name=demo.plan["shop"], teachers=_teachers(demo), by=demo.office, at=at)
    load_shelf(school=demo.office.school, shelf=shelf, at=at)
    load_kinds(school=demo.office.school, by=None, at=at)
    teacher = _teachers(demo)[0]
    words = {"runs": False, "call": [f"Office: {demo.plan['office_phone']}"], "notes": [], "work": []}
    set_words(shop=shop, sheet="substitute", words=words, instead_of=0, by=teacher, at=at)
    for bank in Bank.objects.filter(school=demo.office.school):
        accept_bank(by=teacher, bank=bank.pk, edition=1, at=at)
    for machine_plan in demo.plan["machine"]:
        kind = MachineKind.objects.get(school=demo.office.school, code=machine_plan["kind"])
        demo.machines.append(add_machine(shop=shop, kind=kind, number=machine_plan["number"], by=teacher, at=at))


def _earlier_years(demo: Demo) -> None:
    """Counts of an earlier year for two banks: no one is named, and no attempt of this year is touched."""
    before = demo.ago(TERM_DAYS + 300).date()
    for seed, code in enumerate((GENERAL, "band-saw")):
        bank = Bank.objects.get(school=demo.office.school, code=code)
        add_counts(bank.pk, earlier_years(latest_text(bank), EARLIER_STUDENTS, before, seed))


def _classes(demo: Demo) -> None:
    at, shop = demo.ago(TERM_DAYS + 3), demo.machines[0].shop
    term = _term(demo, at)
    for number, class_plan in enumerate(demo.plan["class"]):
        teacher = demo.staff[class_plan["teacher"]]
        section = add_section(name=class_plan["name"], term=term, shop=shop, teachers=[teacher], by=demo.office, at=at)
        rows = "".join("{1},{0},{2}\n".format(*student.split("|")) for student in class_plan["students"])
        sheet = read_file("class.csv", f"Last name,First name,ID\n{rows}".encode())
        import_roster(section=section, sheet=sheet, key=UUID(int=number + 1), by=teacher, at=demo.ago(TERM_DAYS + 2))
        for student in students_of(section):
            # A code that can be printed at every start; a real sign-in code is drawn by lot and kept nowhere.
            student.set_password(demo.plan["student_code"])
            student.save(update_fields=["password"])
        demo.sections.append(section)


def _term(demo: Demo, at: datetime) -> Term:
    return add_term(
        name="This term",
        first_day=demo.ago(TERM_DAYS + 3).date(),
        last_day=(demo.at + timedelta(days=50)).date(),
        by=demo.office,
        at=at,
    )


def _lives(demo: Demo) -> Iterator[Lived]:
    rng = random.Random(20)  # noqa: S311  the same school every time
    kinds = list(dict.fromkeys(plan_entry["kind"] for plan_entry in demo.plan["machine"]))
    for section, plan_entry in zip(demo.sections, demo.plan["class"], strict=True):
        teacher = demo.staff[plan_entry["teacher"]]
        students = list(students_of(section))
        agreed = students if section.name == "9 Teak" else students[:-1]  # one form a class is still at home
        yield _agreements(demo, section, agreed, teacher)
        for student in students:
            chapters = story(section.name, kinds, GENERAL, rng)
            learner = Learner(demo, student, teacher, random.Random(rng.random()))  # noqa: S311  the same
            yield learner.life(chapters, agreed=student in agreed)


def _agreements(demo: Demo, section: Section, agreed: list[Person], teacher: Person) -> Lived:
    at = demo.ago(TERM_DAYS - 4)
    yield at
    signed_on = demo.ago(TERM_DAYS - 3).date()
    record_document(section=section, students=agreed, signed_on=signed_on, by=teacher, at=at)
