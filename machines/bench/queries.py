"""A student's bench: what comes first, then every machine with its standing, why, and the next step."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property

from machines.bench.rules import FIRST_QUIZ, OPEN_QUIZ, NextAct, candidate, why_not
from machines.clearance.facts import ClearanceResult, Ending, Standing
from machines.clearance.loading import SchoolRequirements, asks_at
from machines.clearance.out_of_use import OutOfUse
from machines.clearance.queries import judged
from machines.clearance.records import machines_used_by
from machines.clearance.rules.next_steps import NextStep, after_first, agreement_first, next_step
from machines.floor.showing.student_place import AtMachine, machines_now_of
from machines.models import Machine, MachineKind
from quizzes.relearning.queries import BankStep, answered_of
from quizzes.relearning.queries import bench as quiz_bench
from quizzes.relearning.rules.next_attempt import Step
from shopsafe.language.lists import listed
from shopsafe.language.messages import _, counted
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.people.classes import running_sections


@dataclass(frozen=True)
class BenchRow:
    """One kind of machine, or some machines of it where they stand differently."""

    machines: tuple[Machine, ...]
    answer: ClearanceResult
    next: NextStep
    out_of_use: tuple[tuple[Machine, OutOfUse], ...] = ()  # those of them that no one may use now, and why

    @property
    def out_lines(self) -> list[str]:
        """ "Band saw 2 is tagged out. No one may use it." """
        return [off.about(machine) for machine, off in self.out_of_use]

    @property
    def in_use(self) -> tuple[Machine, ...]:
        """Those of them that are in service."""
        off = {machine.pk for machine, _ in self.out_of_use}
        return tuple(machine for machine in self.machines if machine.pk not in off)

    @property
    def machine(self) -> Machine:
        return self.machines[0]

    @property
    def name(self) -> str:
        """ "Band saw 2 and 3" """
        return f"{self.machine.name or self.machine.kind.name} {self.numbers}"

    @property
    def spoken(self) -> str:
        """ "band saw 2 and 3", inside a sentence"""
        return f"{self.machine.name or self.machine.kind.spoken} {self.numbers}"

    @property
    def numbers(self) -> str:
        return join_numbers([machine.number for machine in self.machines])


@dataclass(frozen=True)
class FirstQuiz:
    """A quiz that machines wait for and that is the own quiz of none of them."""

    subject: str
    next: NextStep


@dataclass(frozen=True)
class MayUse:
    """One machine that the student is cleared on and that is in service. `ends` only where it ends before the rest."""

    machine: Machine
    ends: Ending | None = None


@dataclass(frozen=True)
class NotYetGroup:
    """The machines that may not be used yet for the same reason."""

    line: str
    standing: Standing
    machines: tuple[Machine, ...]


@dataclass(frozen=True)
class Bench:
    sections: list[Section]
    agreement: str  # what to do about the safety agreement; empty where it is in
    first: list[FirstQuiz]
    rows: list[BenchRow]
    quizzes: list[BankStep]  # those that are no machine's own and do not come first
    steps: Mapping[int, Step] = field(default_factory=dict)  # bank → how far the student is in its quiz
    asked: Mapping[int, int] = field(default_factory=dict)  # bank → how many questions its quiz asks

    @property
    def machine_count(self) -> int:
        return sum(len(row.machines) for row in self.rows)

    @cached_property
    def next(self) -> NextAct | None:
        """The one thing to do now; None where only others can act, or all is done."""
        quizzes = [candidate(quiz.subject, quiz.next, self.steps) for quiz in self.first]
        rows = [
            candidate(
                row.name,
                row.next,
                self.steps,
                ready=row.answer.standing is Standing.READY and bool(row.in_use),
                cleared=row.answer.cleared,
            )
            for row in self.rows
        ]
        return min((act for act in [*quizzes, *rows] if act), key=lambda act: act.rank, default=None)

    @cached_property
    def common_end(self) -> Ending | None:
        """The last end among the clearances; the machines that end earlier say so themselves."""
        ends = [row.answer.ending for row in self.rows if row.answer.cleared and row.in_use and row.answer.ending]
        return max(ends, key=lambda ending: ending.at, default=None)

    @cached_property
    def may_use(self) -> list[MayUse]:
        common = self.common_end
        return [
            MayUse(
                machine,
                row.answer.ending if row.answer.ending and common and row.answer.ending.at < common.at else None,
            )
            for row in self.rows
            if row.answer.cleared
            for machine in row.in_use
        ]

    @cached_property
    def not_yet(self) -> list[NotYetGroup]:
        """Grouped by sentence; what is tagged out last, whatever the student's standing."""
        groups: dict[tuple[str, Standing], list[Machine]] = {}
        shared = {quiz.next.first: quiz.subject for quiz in self.first if quiz.next.first is not None}
        for row in self.rows:
            if not row.answer.cleared and row.in_use:
                line = why_not(row.answer, row.next, shared)
                groups.setdefault((line, row.answer.standing), []).extend(row.in_use)
        return [NotYetGroup(line, standing, tuple(of_line)) for (line, standing), of_line in groups.items()]

    @cached_property
    def out_of_use(self) -> list[tuple[Machine, OutOfUse]]:
        return [pair for row in self.rows for pair in row.out_of_use]

    @property
    def may_show(self) -> bool:
        return any(row.answer.standing is Standing.READY for row in self.rows)


def bench_of(student: Person, at: datetime) -> Bench:
    zone = student.school.time_zone
    sections = running_sections(student, local_day(at, zone))
    asks = asks_at(student.school_id, at)
    machines = machines_used_by(sections, asks, at)
    clearances = judged([student], machines, student.school, asks, at)
    quizzes = quiz_bench(student, at, asks.publications)
    steps = {quiz.bank: quiz.step for quiz in quizzes}
    off = asks.out_of_use([machine.pk for machine in machines])
    answers = {machine.pk: clearances.answers[student.pk, machine.pk] for machine in clearances.machines}
    rows = [
        BenchRow(
            machines=tuple(group),
            answer=answers[group[0].pk],
            next=next_step(answers[group[0].pk], group[0].kind.bank_id, steps, at, zone, group[0].kind.spoken),
            out_of_use=tuple((machine, off[machine.pk]) for machine in group if machine.pk in off),
        )
        for group in group_by_status(clearances.machines, answers)
    ]
    extra_quizzes = other_quizzes(quizzes, machines, asks)
    first, rows = with_shared_quizzes(rows, {quiz.bank: quiz.subject for quiz in extra_quizzes})
    return Bench(
        sections,
        agreement_first(answers.values()),
        list(first.values()),
        rows,
        [quiz for quiz in extra_quizzes if quiz.bank not in first],
        steps=steps,
        asked={quiz.bank: quiz.questions for quiz in quizzes},
    )


def progress_of(page: Bench) -> str:
    """ "4 of 20 questions answered." of a quiz under way, "20 questions." of one to begin. One query at most."""
    if page.next is None or page.next.step.bank is None:
        return ""
    step = page.steps.get(page.next.step.bank)
    if page.next.rank == OPEN_QUIZ and step is not None and step.attempt and not step.paper:
        answered, asked = answered_of(step.attempt)
        return _("{answered} of {asked} questions answered.", answered=answered, asked=asked)
    if page.next.rank == FIRST_QUIZ and page.next.step.bank in page.asked:
        return counted("{count} question.", "{count} questions.", count=page.asked[page.next.step.bank])
    return ""


def now_of(page: Bench, student: Person) -> list[tuple[Machine, AtMachine, bool]]:
    """The machines that the student runs, checks or waits for, the most pressing first, and whether no one may use
    the machine by now. One query."""
    machines = {machine.pk: machine for row in page.rows for machine in row.machines}
    off = {machine.pk for machine, _why in page.out_of_use}
    return [(machines[pk], what, pk in off) for pk, what in machines_now_of(student).items() if pk in machines]


def with_shared_quizzes(
    rows: Sequence[BenchRow], subjects: Mapping[int, str]
) -> tuple[dict[int, FirstQuiz], list[BenchRow]]:
    """Each of these quizzes that rows wait for, once, and the rows that then only say that it comes first."""
    first: dict[int, FirstQuiz] = {}
    left = []
    for row in rows:
        bank = row.next.first
        if bank is not None and bank in subjects:
            first.setdefault(bank, FirstQuiz(subjects[bank], row.next))
            row = replace(row, next=after_first(row.next, subjects[bank]))
        left.append(row)
    return first, left


def other_quizzes(quizzes: Sequence[BankStep], machines: list[Machine], asks: SchoolRequirements) -> list[BankStep]:
    """The quizzes without a row of their own: those that are about no machine, or that one of these machines asks for.
    A quiz on a machine that is not in the student's shops is left out."""
    own = {machine.kind.bank_id for machine in machines}
    asked = {asked.bank_id for machine in machines for asked in asks.asked_by(machine)[1]}
    extra_quizzes = [quiz for quiz in quizzes if quiz.bank not in own]
    unasked = [quiz.bank for quiz in extra_quizzes if quiz.bank not in asked]
    about_a_machine: set[int | None] = set()
    if unasked:
        about_a_machine = set(MachineKind.objects.filter(bank__in=unasked).values_list("bank", flat=True))
    return [quiz for quiz in extra_quizzes if quiz.bank not in about_a_machine]


def group_by_status(machines: list[Machine], answers: dict[int, ClearanceResult]) -> list[list[Machine]]:
    """Machines of one kind that stand alike, together; in the order of the first of each."""
    groups: dict[object, list[Machine]] = {}
    for machine in machines:
        answer = answers[machine.pk]
        status_key = (answer.standing, tuple(reason.sentence for reason in answer.reasons), answer.ending)
        groups.setdefault((machine.kind_id, machine.name, status_key), []).append(machine)
    return list(groups.values())


def join_numbers(numbers: list[int]) -> str:
    """ "2", "2 and 3", "2, 3 and 5" """
    return listed(numbers)
