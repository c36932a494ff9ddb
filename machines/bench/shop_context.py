"""What the pages of quizzes show of a student's shop: its banks, what comes before a quiz, and clearances."""

from datetime import datetime

from machines.bench.queries import bench_of
from machines.clearance.facts import Ending
from machines.clearance.loading import asks_at
from machines.clearance.queries import judged
from machines.clearance.records import machines_in
from machines.clearance.rules.wording import day
from machines.models import Machine, MachineKind
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.school.access import in_school
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person
from shopsafe.school.people.classes import running_sections


def machines_on_bench(person: Person, at: datetime) -> list[Machine]:
    """The machines that stand `at` in the shops of the running classes in the person's sight."""
    return machines_in(running_sections(person, local_day(at, person.school.time_zone)), person, at)


def banks_of_shop(person: Person, at: datetime) -> frozenset[int] | None:
    """The banks of the machines of the person's shops, those they ask for, and those that are about no machine; None
    for a person without a shop."""
    machines = machines_on_bench(person, at)
    if not machines:
        return None
    asks = asks_at(person.school_id, at)
    own = {machine.kind.bank_id for machine in machines if machine.kind.bank_id}
    asked = {thing.bank_id for machine in machines for thing in asks.asked_by(machine)[1] if thing.bank_id}
    of_machines = in_school(MachineKind.objects.exclude(bank=None), person).values("bank")
    general = in_school(Bank.objects.exclude(pk__in=of_machines), person).values_list("pk", flat=True)
    return frozenset(own | asked | set(general))


def subjects_first(student: Person, bank: int, at: datetime) -> list[str]:
    """The subjects of the quizzes that still come before this one at the machines that it is about."""
    machines = [machine for machine in machines_on_bench(student, at) if machine.kind.bank_id == bank]
    if not machines:
        return []
    clearances = judged([student], machines, student.school, asks_at(student.school_id, at), at)
    reasons = [reason for answer in clearances.answers.values() for reason in answer.reasons]
    first = {int(reason.about) for reason in reasons if reason.link in ("quiz", "accept")} - {bank}
    return sorted(in_school(Bank.objects.filter(pk__in=first), student).values_list("subject", flat=True))


def clearance_lines(student: Person, bank: int, at: datetime) -> list[str]:
    """ "You are cleared on band saw 2 and 3 until 15 January 2027." for the machines that this quiz is about."""
    rows = [row for row in bench_of(student, at).rows if row.machine.kind.bank_id == bank and row.answer.cleared]
    lines = [_cleared(row.spoken, row.answer.ending, student) for row in rows]
    return lines + [line for row in rows for line in row.out_lines]


def _cleared(machine: str, ending: Ending | None, student: Person) -> str:
    if ending is None:
        return _("You are cleared on {machine}.", machine=machine)
    last_day = day(ending.last_moment, student.school.time_zone)
    return _("You are cleared on {machine} until {day}.", machine=machine, day=last_day)
