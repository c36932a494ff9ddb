"""Who may use what: classes and machines judged together, by the same rule that judges one cell."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from machines import clearance, facts
from machines.models import Machine
from machines.queries.asking import in_service_life
from machines.queries.asks import Asks, asks_at
from machines.queries.evidence import evidence_of
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Enrolment, Person, School, Section


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


def students_of(section: Section, at: datetime) -> list[Person]:
    """Who was in the class on the day of `at`, in reading order."""
    day = local_day(at, section.school.time_zone)
    then = Enrolment.objects.filter(section=section, from_day__lte=day).exclude(until_day__lt=day)
    people = Person.objects.filter(pk__in=then.values("student"))
    return sorted(people, key=lambda person: (person.sort_key, person.pk))


def enrolled(sections: list[Section], at: datetime) -> dict[int, list[Person]]:
    """Class → who was in it on the day of `at`, in reading order. Classes of one school; one query."""
    if not sections:
        return {}
    day = local_day(at, sections[0].school.time_zone)
    rows = Enrolment.objects.filter(section__in=sections, from_day__lte=day).exclude(until_day__lt=day)
    found: dict[int, set[Person]] = {section.pk: set() for section in sections}
    for row in rows.select_related("student"):
        found[row.section_id].add(row.student)
    return {pk: sorted(people, key=lambda one: (one.sort_key, one.pk)) for pk, people in found.items()}


def machines_of(shop_id: int, at: datetime) -> list[Machine]:
    """The machines that stood in a shop at `at`, by number."""
    there = in_service_life(Machine.objects.filter(shop=shop_id), at)
    return list(there.select_related("kind").order_by("number", "pk"))


def standings_for_section(section: Section, at: datetime) -> Matrix[facts.Answer]:
    """One class and every machine of its shop. Nine queries."""
    asks = asks_at(section.school_id, at)
    here = [machine for machine in asks.machines.values() if machine.shop_id == section.shop_id]
    return judged(students_of(section, at), here, section.school, asks, at)


def briefs_for_section(section: Section, at: datetime) -> Matrix[facts.Brief]:
    """The same without the words, for a register that asks again and again."""
    asks, students = asks_at(section.school_id, at), students_of(section, at)
    here = [machine for machine in asks.machines.values() if machine.shop_id == section.shop_id]
    asked = asks.as_facts()
    wanted = [asked[machine.pk] for machine in here]
    answers = {
        (student, machine): brief
        for student, known in evidence_of([student.pk for student in students], section.school, at).items()
        for machine, brief in clearance.briefs(wanted, known, at).items()
    }
    return Matrix(at, students, here, answers)


def matrix(students: list[Person], machines: list[Machine], school: School, at: datetime) -> Matrix[facts.Answer]:
    """These students of one school and those of these machines of it that stood there `at`. Eight queries."""
    return judged(students, machines, school, asks_at(school.pk, at), at)


def judged(
    students: list[Person], machines: list[Machine], school: School, asks: Asks, at: datetime
) -> Matrix[facts.Answer]:
    """As `matrix`, by what is asked for: what is in force, or what is only being thought of."""
    return judged_by(students, machines, evidence_of([student.pk for student in students], school, at), asks, at)


def judged_by(
    students: list[Person], machines: list[Machine], evidence: dict[int, facts.Evidence], asks: Asks, at: datetime
) -> Matrix[facts.Answer]:
    """As `judged`, on evidence that is loaded already: one load may be judged twice. No query."""
    asked = asks.as_facts()
    there = [machine for machine in machines if machine.pk in asked]
    wanted = [asked[machine.pk] for machine in there]
    answers = {
        (student, machine): answer
        for student, known in evidence.items()
        for machine, answer in clearance.evaluate_all(wanted, known, at).items()
    }
    return Matrix(at, students, there, answers)


def answer_for(student: Person, machine: Machine, at: datetime) -> facts.Answer:
    """One cell: may this student use this machine at `at`, and why? Both of one school, the machine there at `at`."""
    return matrix([student], [machine], student.school, at).answers[student.pk, machine.pk]
