"""A school whose every record was made by acts, for the tests of what a forger may do to them."""

# ruff: noqa: S608  the statements are written here, and are the point

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection

from machines.holds.acts import learn_held_rule, lift_hold, place_hold
from machines.models import HazardReport, Hold, Machine, MachineKind, Requirements, SignOff, TagOut
from machines.reports.hazards.acts import Sighting, clear_report, report_hazard
from machines.setting_up.acts.kinds import add_kind
from machines.setting_up.acts.machines import NewMachine, add_machines
from machines.setting_up.acts.requirements import set_requirements
from machines.sign_offs.acts import sign_off, undo_sign_off, withdraw_sign_off
from machines.tag_outs.acts import tag_out
from quizzes.attempts.acts import void_attempt
from quizzes.banks.editions.acts import accept_bank, take_back_acceptance
from quizzes.models import Attempt, Bank
from quizzes.relearning.opened_card import note_opened
from shopsafe.school.models import Person
from shopsafe.school.people.acts.documents import record_document, withdraw_document
from tests.cast import Cast, make_cast
from tests.factories.banks import AT, DAY, MINUTE, bank_text, learn, published, take
from tests.factories.kept import kept
from tests.factories.reports.inspections import returned as returned_after_its_list

SHOWN = ["Sets the guard", "Keeps both hands in sight"]


@dataclass
class Recorded:
    """What is on record once everything has happened once."""

    cast: Cast
    bank: Bank
    kind: MachineKind
    saw: Machine
    second_saw: Machine
    missed: Attempt
    passed: Attempt
    voided: Attempt
    sign_off: SignOff
    undone: SignOff
    withdrawn: SignOff
    hold: Hold
    lifted: Hold
    tag_out: TagOut
    returned: TagOut
    requirements: Requirements
    report: HazardReport
    cleared: HazardReport


def tap(number: int) -> UUID:
    return UUID(int=number)


def agree(cast: Cast) -> None:
    """The agreements of two students, one of them withdrawn and recorded again."""
    for pupils in ([cast.classmate], [cast.student, cast.classmate]):
        record_document(section=cast.section, students=pupils, signed_on=AT.date(), by=cast.teacher, at=AT)
        if pupils == [cast.classmate]:
            withdraw_document(
                section=cast.section, student=cast.classmate, reason="Another form", by=cast.teacher, at=AT
            )


def approved_twice(teacher: Person) -> Bank:
    bank = published(teacher, bank_text(rules=1, ask=1), AT - 2 * DAY)
    take_back_acceptance(by=teacher, bank=bank.pk, reason="Read again", at=AT - DAY)
    accept_bank(by=teacher, bank=bank.pk, edition=1, at=AT - DAY + MINUTE)
    return bank


@kept
def make_records() -> Recorded:
    cast = make_cast()
    teacher, student, classmate = cast.teacher, cast.student, cast.classmate
    bank = approved_twice(teacher)
    described = {"name": "Band saw", "stop": "Push the paddle.", "lists": {"demonstration": SHOWN}}
    kind = add_kind(bank=bank, by=teacher, at=AT - DAY, **described)
    saws = [NewMachine(kind, number, "") for number in (1, 2)]
    saw, second_saw = add_machines(shop=cast.shop, wanted=saws, by=teacher, at=AT - DAY)
    wanted = Requirements(kind=kind, refresh_days=90)
    requirements = set_requirements(wanted=wanted, asked=[bank], by=teacher, at=AT - DAY)
    agree(cast)
    missed = take(student, bank, AT, wrong={"r0"}, seed=1)
    learn(missed, AT + 10 * MINUTE)
    passed, later = take(student, bank, AT + DAY, seed=2), AT + DAY + timedelta(hours=1)
    voided = void_attempt(by=teacher, attempt=take(classmate, bank, AT, seed=3).pk, reason="Looked it up", at=AT + DAY)
    take(classmate, bank, AT + DAY, seed=4)

    def signs(machine: Machine, number: int, who: object = student) -> SignOff:
        return sign_off(student=who, machine=machine, by=teacher, ticked=SHOWN, tap=tap(number), at=later)

    made = signs(saw, 1)
    undone = undo_sign_off(sign_off=signs(second_saw, 2), by=teacher, at=later)
    withdrawn = withdraw_sign_off(sign_off=signs(second_saw, 3), by=teacher, reason="Wrong machine", at=later)
    signs(second_saw, 4, classmate)

    def holds(number: int, machines: list[Machine] | None, **more: object) -> Hold:
        asked = {"student": student, "machines": machines, "by": teacher, "tap": tap(number), "at": later}
        return place_hold(**asked, **more)

    hold = holds(5, [saw], reason="horseplay", words="Threw a block", lifts="talk")
    lifted = holds(6, None, reason="dress", lifts="rules", bank=bank, rules=["r0"])
    learns(lifted, later)
    lifted = lift_hold(hold=lifted, by=teacher, words="Read the rule", at=later + MINUTE)
    report, cleared = reports(saw, second_saw, student, teacher, later)
    returned, out = tags(saw, second_saw, teacher, later)
    report.refresh_from_db()  # the tag-out ended it
    return Recorded(
        cast, bank, kind, saw, second_saw, missed, passed, voided, made, undone, withdrawn, hold, lifted, out, returned,
        requirements, report, cleared,
    )  # fmt: skip


def learns(hold: Hold, later: datetime) -> None:
    """The student reads the card of the hold's rule and recalls it."""
    recall = bank_text(rules=1, ask=1).rules[0].recall
    opened = note_opened(hold.student_id, f"hold {hold.pk}", "r0", later)
    said = recall.key[0] if recall else ""
    learn_held_rule(student=hold.student, hold=hold, rule="r0", word=said, opened=opened, at=later)


def reports(
    saw: Machine, second_saw: Machine, student: Person, teacher: Person, later: datetime
) -> tuple[HazardReport, HazardReport]:
    """A student's report that a tag-out will end, and a teacher's that was cleared."""
    guard, noise = Sighting("guard", "The left one"), Sighting("noise")
    asked: dict[str, Any] = {"shop": saw.shop, "at": later}
    report = report_hazard(machine=saw, seen=guard, by=student, tap=tap(9), **asked)
    cleared = report_hazard(machine=second_saw, seen=noise, by=teacher, tap=tap(10), **asked)
    return report, clear_report(report=cleared, finding="A loose board", by=teacher, at=later + MINUTE)


def tags(saw: Machine, second_saw: Machine, teacher: Person, later: datetime) -> tuple[TagOut, TagOut]:
    """A tag-out that ended, and one that stands."""
    returned = tag_out(machine=second_saw, reason="Blade cracked", by=teacher, tap=tap(7), at=later)
    returned = returned_after_its_list(returned, teacher, later + MINUTE)
    out = tag_out(machine=saw, reason="Guard loose", by=teacher, tap=tap(8), at=later + 2 * MINUTE)
    return returned, out


def key(pk: Any) -> str:
    """A key as SQL writes it."""
    return f"'{pk}'" if connection.vendor == "postgresql" else f"'{str(pk).replace('-', '')}'"


def hexadecimal(pk: Any) -> str:
    return str(pk).replace("-", "")


def copied(table: str, condition: str, **values: str) -> str:
    """An INSERT of a copy of a row, with other values."""
    with connection.cursor() as cursor:
        description = connection.introspection.get_table_description(cursor, table)
    columns = [column.name for column in description if column.name != "perfect"]
    if "id" not in values:
        columns.remove("id")
    picked = ", ".join(values.get(column, column) for column in columns)
    return f"INSERT INTO {table} ({', '.join(columns)}) SELECT {picked} FROM {table} WHERE {condition}"
