"""What a teacher sees before setting what a machine asks for: what is asked now, and what a change would do."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Exists, Model, OuterRef, Q, QuerySet

from machines.clearance.amounts import AMOUNTS, AmountKind
from machines.clearance.evidence import evidence_of
from machines.clearance.loading import PrerequisiteRow, RequirementTerms, SchoolRequirements, asks_at
from machines.clearance.queries import judged_by
from machines.clearance.records import by_shop, machines_for
from machines.models import Machine, MachineKind, Prerequisite, Requirements
from machines.setting_up.rules.effects import Effect, EffectLine, effect_lines
from machines.setting_up.rules.plan_drawing import Drawing, drawing
from quizzes.access import banks_for
from quizzes.models import Bank
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.naming.rules.ordering import people_in_order
from shopsafe.school.people.classes import enrolled


def kinds_for(teacher: Person) -> QuerySet[MachineKind]:
    """The kinds that are in the teacher's shops, and those that are in none of the school's."""
    standing = Machine.objects.filter(kind=OuterRef("pk"), retired_at=None)
    mine = standing.filter(shop__in=access.shops_for(teacher))
    kinds = access.in_school(MachineKind.objects.select_related("bank", "school"), teacher)
    return kinds.filter(Exists(mine) | ~Exists(standing)).order_by("name", "pk")


def rows_of(kind: MachineKind, machine: Machine | None) -> list[Requirements]:
    """What was ever set for a kind or a machine, the last first."""
    rows = Requirements.objects.filter(kind=kind, machine=machine).select_related("set_by")
    return list(rows.order_by("-pk"))


@dataclass(frozen=True)
class KindLine:
    """One kind on the list: what it asks for, in words, and its machines that ask for something else."""

    kind: MachineKind
    terms: RequirementTerms
    things: list[PrerequisiteRow]
    own: list[Machine]


@dataclass(frozen=True)
class PrerequisiteOrder:
    here: list[KindLine]
    nowhere: list[KindLine]  # kinds without a machine in the school
    drawing: Drawing


def prerequisite_order(teacher: Person, at: datetime) -> PrerequisiteOrder:
    """Every kind of the teacher's shops with what it asks for, and the drawing of what comes before what."""
    asks = asks_at(teacher.school_id, at)
    lines = [_line(asks, kind) for kind in kinds_for(teacher)]
    here = [line for line in lines if asks.of_kind(line.kind.pk)]
    return PrerequisiteOrder(here, [line for line in lines if line not in here], drawing(asks.to_draw()))


def _line(asks: SchoolRequirements, kind: MachineKind) -> KindLine:
    terms, things = asks.of(kind.pk, _own_bank(kind))
    return KindLine(kind, terms, things, [machine for machine in asks.of_kind(kind.pk) if asks.is_own(machine)])


def _own_bank(kind: MachineKind) -> PrerequisiteRow | None:
    return PrerequisiteRow(kind.bank.subject, kind.bank.pk) if kind.bank else None


@dataclass(frozen=True)
class RequirementsPreview:
    """What a change would do if it held from now on: in the whole school, with the names in the asker's sight."""

    lines: list["RequirementsPreviewLine"]
    drawing: Drawing


@dataclass(frozen=True)
class RequirementsPreviewLine:
    effect: EffectLine
    named: list[tuple[str, list[Machine]]]  # the name distinguished from everyone else's
    unnamed: int  # students of the school who are in none of the asker's classes


def amounts_offered(kind: MachineKind, terms: RequirementTerms) -> list[AmountKind]:
    """What a teacher may ask for as a number: what is asked now, and what some record can fulfill. One that needs runs
    is offered where a shop with a machine of this type keeps them."""
    asked = {amount.kind.column for amount in terms.amounts}
    keeps_runs = Machine.objects.filter(kind=kind, retired_at=None, shop__floor__keeps_runs=True).exists()
    return [each for each in AMOUNTS.values() if keeps_runs or not each.needs_runs or each.column in asked]


def requirements_preview(
    person: Person, requirements: Requirements, things: Sequence[Prerequisite], at: datetime
) -> RequirementsPreview:
    """`requirements` and `things` are unsaved. Everyone in a running class, at every machine of that class's shop."""
    asks = asks_at(person.school_id, at)
    after = asks.with_change(requirements, things)
    day = local_day(at, person.school.time_zone)
    running = Section.objects.filter(school=person.school_id, term__first_day__lte=day, term__last_day__gte=day)
    in_class = enrolled(list(running.select_related("school")), at)
    shops = {section.pk: section.shop_id for section in running}
    in_shop = {(student.pk, shops[pk]) for pk, students in in_class.items() for student in students}
    people = {student.pk: student for students in in_class.values() for student in students}
    students = people_in_order(people.values())
    evidence = evidence_of(people.keys(), person.school, at, counted=after.counted | asks.counted)
    machines = list(asks.machines.values())
    old, new = (judged_by(students, machines, evidence, each, at).answers for each in (asks, after))
    effects = [
        Effect(student.pk, machine.pk, old[student.pk, machine.pk].standing, new[student.pk, machine.pk].standing)
        for student in students
        for machine in machines
        if (student.pk, machine.shop_id) in in_shop
    ]
    seen = set(access.students_for(person).filter(pk__in=people).values_list("pk", flat=True))
    names = full_names_of(students)
    before, here = asks.to_draw(), (requirements.machine or requirements.kind).spoken
    lines = [_named(line, names, asks.machines, seen) for line in effect_lines(effects)]
    return RequirementsPreview(lines, drawing(after.to_draw(), here, before))


def _named(
    line: EffectLine, names: dict[int, str], all_machines: dict[int, Machine], seen: set[int]
) -> RequirementsPreviewLine:
    at: dict[int, list[Machine]] = {}
    for effect in line.effects:
        at.setdefault(effect.student, []).append(all_machines[effect.machine])
    named = [(names[pk], machines) for pk, machines in at.items() if pk in seen]
    return RequirementsPreviewLine(line, named, len(at) - len(named))


def possible_prerequisites(kind: MachineKind, at: datetime) -> tuple[list[MachineKind], list[Machine]]:
    """The other kinds of the school, and all machines but those of this kind: what may be asked for first."""
    in_service = Q(added_at__lte=at) & (Q(retired_at=None) | Q(retired_at__gt=at))
    machines = Machine.objects.filter(in_service, school=kind.school_id).exclude(kind=kind)
    kinds = MachineKind.objects.filter(machines__in=machines).distinct().order_by("name", "pk")
    return list(kinds), by_shop(machines.select_related("kind", "shop"))


@dataclass(frozen=True)
class RequirementsPage:
    """The page of one kind, or of one machine of it: what it asks for now, and what it may ask for."""

    kind: MachineKind
    machine: Machine | None
    terms: RequirementTerms
    things: list[PrerequisiteRow]
    own: bool  # the machine asks for something else than its kind
    rows: list[Requirements]  # ever set, the last first
    drawing: Drawing
    machines: list[tuple[Machine, bool]]  # the teacher's of this kind, and whether each asks for its own
    choices: dict[str, list[Any]]  # the form's field → what may be ticked, what is asked now first

    @property
    def seen(self) -> int:
        return self.rows[0].pk if self.rows else 0

    @property
    def spoken(self) -> str:
        return (self.machine or self.kind).spoken


def requirements_page(teacher: Person, kind: MachineKind, machine: Machine | None, at: datetime) -> RequirementsPage:
    asks = asks_at(teacher.school_id, at)
    terms, things = asks.asked_by(machine) if machine else asks.of(kind.pk, _own_bank(kind))
    kinds, machines = possible_prerequisites(kind, at)
    choices: dict[str, list[Any]] = {
        "banks": _asked_first(Bank, [thing.bank_id for thing in things], banks_for(teacher).order_by("subject")),
        "kinds": _asked_first(MachineKind, [thing.kind_id for thing in things], kinds),
        "machines": _asked_first(Machine, [thing.machine_id for thing in things], machines),
    }
    mine = set(machines_for(teacher).filter(kind=kind).values_list("pk", flat=True)) if machine is None else set()
    single = [
        (one_of_kind, asks.is_own(one_of_kind)) for one_of_kind in asks.of_kind(kind.pk) if one_of_kind.pk in mine
    ]
    own = machine is not None and asks.is_own(machine)
    plan_drawing = drawing(asks.to_draw(), (machine or kind).spoken)
    return RequirementsPage(kind, machine, terms, things, own, rows_of(kind, machine), plan_drawing, single, choices)


def _asked_first[M: Model](model: type[M], asked: Iterable[int | None], all_of_them: Iterable[M]) -> list[M]:
    """Return what is asked now, in its order, also if it is gone by now; then the rest."""
    keys = [key for key in asked if key is not None]
    rows = model._default_manager.in_bulk(keys)
    return list(dict.fromkeys([*(rows[key] for key in keys), *all_of_them]))
