"""What the plan and the rotation of a class are made from: who is here, what clearance says, which machines run."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from machines.clearance.class_machines import kinds_used, used_by
from machines.clearance.facts import ClearanceResult, MachineRequirements, Standing
from machines.clearance.loading import asks_at
from machines.clearance.queries import Matrix, judged
from machines.models import DemonstrationTime, Machine, MachineKind, Run
from machines.planning.facts import (
    LARGEST_GROUP,
    Demonstration,
    PlanFacts,
    PlanStudent,
    RotaFacts,
    RotaMachine,
    RotaStudent,
)
from machines.planning.rules.readiness import readiness_of, why_not_ready
from shopsafe.school.calendar import start_of_day
from shopsafe.school.here_today.queries import DayList, day_list
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import short_names_of
from shopsafe.school.timetable.queries import timetable_of
from shopsafe.school.timetable.rules.meetings import meeting_at

# A short demonstration and a try by each student: common practice. The shop sets its own.
MINUTES, MINUTES_EACH = 4, 2


@dataclass(frozen=True)
class ClassAtMachines:
    """A class on a day, judged at every machine that it uses. `names`: short ones, distinguished."""

    section: Section
    today: DayList
    names: dict[int, str]
    machines: list[Machine]
    requirements: dict[int, MachineRequirements]
    clearances: Matrix[ClearanceResult]
    tagged_out: frozenset[int]  # machines that are tagged out

    @property
    def machine_names(self) -> dict[int, str]:
        return {machine.pk: machine.spoken for machine in self.machines}


def class_at_machines(section: Section, at: datetime) -> ClassAtMachines:
    """Eight queries, whatever the size of the class; more where a machine is out of use, or expires unused."""
    asks = asks_at(section.school_id, at)
    requirements = asks.as_facts()
    here = used_by(section, asks.machines.values(), kinds_used([section], at))
    asked_first = {
        other.machine for machine in here for first in requirements[machine.pk].first for other in first.one_of
    }
    elsewhere = [asks.machines[pk] for pk in asked_first - {machine.pk for machine in here} if pk in asks.machines]
    today = day_list(section, at)
    return ClassAtMachines(
        section=section,
        today=today,
        names=short_names_of(today.students),
        machines=here,
        requirements=requirements,
        clearances=judged(today.students, [*here, *elsewhere], section.school, asks, at),
        tagged_out=frozenset(asks.out_of_use(machine.pk for machine in here)),
    )


def minutes_left(section: Section, at: datetime) -> int | None:
    """Whole minutes to the bell where the class meets now. Four queries at most."""
    meeting = meeting_at(timetable_of(section.school, [section]), at)
    return int((meeting.ends_at - at).total_seconds() // 60) or None if meeting else None


def plan_facts(judged_class: ClassAtMachines, minutes: int) -> PlanFacts:
    """For the plan of one period. One query."""
    answers, students = judged_class.clearances.answers, judged_class.today.students
    demonstration_of = demonstrations_by_machine(judged_class)
    rows = readiness_of([s.pk for s in students], judged_class.requirements, answers, demonstration_of)
    places = sorted(set(demonstration_of.values()), key=[machine.pk for machine in judged_class.machines].index)
    ready = {(row.student, row.demonstration) for row in rows}
    return PlanFacts(
        minutes=minutes,
        students=tuple(
            PlanStudent(
                key=student.pk,
                name=judged_class.names[student.pk],
                machines=sum(answers[student.pk, machine.pk].cleared for machine in judged_class.machines),
                here=student.pk not in judged_class.today.away,
            )
            for student in students
        ),
        demonstrations=tuple(_demonstrations(judged_class, places)),
        readiness=tuple(rows),
        why_not={
            (student.pk, place): why_not_ready(answers[student.pk, place])
            for student in students
            for place in places
            if (student.pk, place) not in ready
        },
    )


def demonstrations_by_machine(judged_class: ClassAtMachines) -> dict[int, int]:
    """Machine → its demonstration: its own, or once for the machine type the first that is in service."""
    in_service_first = sorted(judged_class.machines, key=lambda machine: machine.pk in judged_class.tagged_out)
    first_of_kind: dict[int, int] = {}
    for machine in in_service_first:
        first_of_kind.setdefault(machine.kind_id, machine.pk)
    return {
        machine.pk: first_of_kind[machine.kind_id]
        if judged_class.requirements[machine.pk].demonstration == "kind"
        else machine.pk
        for machine in judged_class.machines
    }


def _demonstrations(judged_class: ClassAtMachines, places: list[int]) -> list[Demonstration]:
    machines = {machine.pk: machine for machine in judged_class.machines}
    times = demonstration_times({machines[place].kind for place in places})
    demonstrations = []
    for place in places:
        machine, time = machines[place], times[machines[place].kind_id]
        once_for_kind = judged_class.requirements[place].demonstration == "kind"
        demonstrations.append(
            Demonstration(
                key=place,
                name=machine.kind.spoken if once_for_kind else machine.spoken,
                minutes=time.minutes,
                minutes_each=time.minutes_each,
                group_size=time.group_size,
                in_service=place not in judged_class.tagged_out,
            )
        )
    return demonstrations


def demonstration_times(kinds: Iterable[MachineKind]) -> dict[int, DemonstrationTime]:
    """Machine type → how long its demonstrations take; an unsaved row where the shop has set nothing. One query."""
    kinds = list(kinds)
    saved = {row.kind_id: row for row in DemonstrationTime.objects.filter(kind__in=kinds)}
    return {
        kind.pk: saved.get(kind.pk)
        or DemonstrationTime(kind=kind, minutes=MINUTES, minutes_each=MINUTES_EACH, group_size=LARGEST_GROUP)
        for kind in kinds
    }


def rota_facts(judged_class: ClassAtMachines, slots: int, slot_minutes: int) -> RotaFacts:
    """For the rotation of one period. Two queries."""
    answers = judged_class.clearances.answers
    minutes_at = machine_minutes(judged_class.section, judged_class.today.students, judged_class.machines)
    helped = MachineKind.objects.only("helpers", "helper_cleared").in_bulk(
        {machine.kind_id for machine in judged_class.machines}
    )
    pairs = [(student.pk, machine.pk) for student in judged_class.today.students for machine in judged_class.machines]
    return RotaFacts(
        slots=slots,
        slot_minutes=slot_minutes,
        students=tuple(
            RotaStudent(
                key=student.pk,
                name=judged_class.names[student.pk],
                minutes=sum(minutes_at.get((student.pk, machine.pk), 0) for machine in judged_class.machines),
                here=student.pk not in judged_class.today.away,
            )
            for student in judged_class.today.students
        ),
        machines=tuple(
            RotaMachine(
                key=machine.pk,
                name=machine.spoken,
                helpers=helped[machine.kind_id].helpers,
                in_service=machine.pk not in judged_class.tagged_out,
            )
            for machine in judged_class.machines
        ),
        cleared=frozenset(pair for pair in pairs if answers[pair].cleared),
        may_help=frozenset(
            (student.pk, machine.pk)
            for student in judged_class.today.students
            for machine in judged_class.machines
            if _may_help(answers[student.pk, machine.pk], helped[machine.kind_id])
        ),
        minutes_at=minutes_at,
        why_not={pair: why_not_ready(answers[pair]) for pair in pairs if not answers[pair].cleared},
    )


def _may_help(answer: ClearanceResult, kind: MachineKind) -> bool:
    """As the machine type asks; a hold stops a helper in any case."""
    return answer.cleared or (not kind.helper_cleared and answer.standing is not Standing.ON_HOLD)


def machine_minutes(
    section: Section, students: Iterable[Person], machines: Iterable[Machine]
) -> dict[tuple[int, int], int]:
    """(student, machine) → whole minutes at that machine in the class's term, of runs that are over. One query."""
    begins = start_of_day(section.term.first_day, section.school.time_zone)
    runs = Run.objects.filter(student__in=students, machine__in=machines, started_at__gte=begins)
    seconds: dict[tuple[int, int], float] = defaultdict(float)
    for run in runs.only("student", "machine", "started_at", "ended_at"):
        if run.started_at and run.ended_at:
            seconds[run.student_id, run.machine_id] += (run.ended_at - run.started_at).total_seconds()
    return {pair: round(total / 60) for pair, total in seconds.items()}
