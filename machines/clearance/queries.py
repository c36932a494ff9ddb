"""Who may use what: classes and machines judged together, by the same rule that judges one cell."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from machines.clearance import facts
from machines.clearance.class_machines import kinds_used, used_by
from machines.clearance.evidence import evidence_of
from machines.clearance.known_rows import records_at
from machines.clearance.loading import SchoolRequirements, asks_at
from machines.clearance.records import in_service_life
from machines.clearance.rules import evaluation
from machines.models import Machine
from shopsafe.school.models import Person, School, Section
from shopsafe.school.people.classes import students_of


@dataclass(frozen=True)
class Matrix[A]:
    """Students down, machines across, an answer in each cell, as it was `at`."""

    at: datetime
    students: list[Person]
    machines: list[Machine]
    answers: dict[tuple[int, int], A]

    def row(self, student: Person) -> list[tuple[Machine, A]]:
        return [(machine, self.answers[student.pk, machine.pk]) for machine in self.machines]

    def column(self, machine: Machine) -> list[tuple[Person, A]]:
        return [(student, self.answers[student.pk, machine.pk]) for student in self.students]

    @cached_property
    def rows(self) -> list[tuple[Person, list[tuple[Machine, A]]]]:
        return [(student, self.row(student)) for student in self.students]


def machines_of(shop_id: int, at: datetime) -> list[Machine]:
    """The machines that stood in a shop at `at`, by number."""
    machines = in_service_life(Machine.objects.filter(shop=shop_id), at)
    return list(machines.select_related("kind").order_by("number", "pk"))


def standings_for_section(section: Section, at: datetime) -> Matrix[facts.ClearanceResult]:
    """One class and the machines that it uses. Seven queries; one more where a clearance expires unused."""
    asks = asks_at(section.school_id, at)
    here = used_by(section, asks.machines.values(), kinds_used([section], at))
    return judged(students_of(section, at), here, section.school, asks, at)


def briefs_for_section(section: Section, at: datetime) -> Matrix[facts.StatusOnly]:
    """The same without the words, for a register that asks again and again."""
    return briefs_by_asks(section, asks_at(section.school_id, at), at)


def briefs_by_asks(section: Section, asks: SchoolRequirements, at: datetime) -> Matrix[facts.StatusOnly]:
    """The same, by what is loaded already."""
    students = students_of(section, at)
    here = used_by(section, asks.machines.values(), kinds_used([section], at))
    asked = asks.as_facts()
    requirements = [asked[machine.pk] for machine in here]
    known = records_at([student.pk for student in students], section.school, asks, at)
    answers = {
        (student, machine): brief
        for student, record in known.items()
        for machine, brief in evaluation.briefs_by(requirements, record).items()
    }
    return Matrix(at, students, here, answers)


def matrix(
    students: list[Person], machines: list[Machine], school: School, at: datetime
) -> Matrix[facts.ClearanceResult]:
    """These students of one school and those of these machines of it that stood there `at`. Five queries."""
    return judged(students, machines, school, asks_at(school.pk, at), at)


def judged(
    students: list[Person], machines: list[Machine], school: School, asks: SchoolRequirements, at: datetime
) -> Matrix[facts.ClearanceResult]:
    """As `matrix`, by what is asked for: what is in force, or what is only being thought of."""
    pks = [student.pk for student in students]
    evidence = evidence_of(pks, school, at, counted=asks.counted, published=asks.publications)
    return judged_by(students, machines, evidence, asks, at)


def judged_by(
    students: list[Person],
    machines: list[Machine],
    evidence: dict[int, facts.StudentRecord],
    asks: SchoolRequirements,
    at: datetime,
) -> Matrix[facts.ClearanceResult]:
    """As `judged`, on evidence that is loaded already: one load may be judged twice. No query."""
    asked = asks.as_facts()
    existing_machines = [machine for machine in machines if machine.pk in asked]
    requirements = [asked[machine.pk] for machine in existing_machines]
    answers = {
        (student, machine): answer
        for student, known in evidence.items()
        for machine, answer in evaluation.evaluate_all(requirements, known, at).items()
    }
    return Matrix(at, students, existing_machines, answers)


def answer_for(student: Person, machine: Machine, at: datetime) -> facts.ClearanceResult:
    """One cell: may this student use this machine at `at`, and why? Both of one school, the machine there at `at`."""
    return matrix([student], [machine], student.school, at).answers[student.pk, machine.pk]
