"""What quizzes are told of the shop: which banks belong to a student's own shop, and what comes before a quiz."""

from datetime import datetime

from machines.models import Machine, MachineKind
from machines.queries.asks import asks_at
from machines.queries.records import machines_in, running_sections
from machines.queries.standings import judged
from quizzes.models import Bank
from shopsafe.school.access import in_school
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person


def machines_on_bench(student: Person, at: datetime) -> list[Machine]:
    """The machines that stand `at` in the shops of the student's running classes."""
    return machines_in(running_sections(student, local_day(at, student.school.time_zone)), student, at)


def banks_here(student: Person, at: datetime) -> frozenset[int] | None:
    """The banks of the machines of the student's shops, those they ask for, and those that are about no machine; None
    for a student without a shop."""
    there = machines_on_bench(student, at)
    if not there:
        return None
    asks = asks_at(student.school_id, at)
    own = {machine.kind.bank_id for machine in there if machine.kind.bank_id}
    asked = {thing.bank_id for machine in there for thing in asks.asked_by(machine)[1] if thing.bank_id}
    of_machines = in_school(MachineKind.objects.exclude(bank=None), student).values("bank")
    general = in_school(Bank.objects.exclude(pk__in=of_machines), student).values_list("pk", flat=True)
    return frozenset(own | asked | set(general))


def asked_first(student: Person, bank: int, at: datetime) -> list[str]:
    """The subjects of the quizzes that still come before this one at the machines that it is about."""
    there = [machine for machine in machines_on_bench(student, at) if machine.kind.bank_id == bank]
    if not there:
        return []
    found = judged([student], there, student.school, asks_at(student.school_id, at), at)
    reasons = [reason for answer in found.answers.values() for reason in answer.reasons]
    first = {int(reason.about) for reason in reasons if reason.link in ("quiz", "accept")} - {bank}
    return sorted(in_school(Bank.objects.filter(pk__in=first), student).values_list("subject", flat=True))
