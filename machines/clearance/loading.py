"""What every machine of a school asks for at a moment, as facts for the rule: plain rows, no instance but machines.

The pages that set what is asked for read the same rows as instances: machines/queries/asking.py.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, NamedTuple

from django.db import connection

from machines.clearance import facts
from machines.clearance.plan import Whose, prerequisite_text, row_key
from machines.models import Machine, MachineKind, Prerequisite, Requirements
from machines.models.machines import in_a_sentence
from quizzes.banks.editions.approved import practice_only
from shopsafe.school.plain_rows import plain_instances, plain_rows

# One row a thing asked for, under the requirements that ask for it, the last set last.
ASKED = """
SELECT wanted.id, wanted.kind_id, wanted.machine_id, wanted.as_kind, wanted.agreement, wanted.demonstration,
       wanted.ends_with, wanted.refresh_days, wanted.unused_days,
       asked.bank_id, bank.subject, asked.kind_id, kind.name, asked.machine_id, machine.name, machine.number, made.name
  FROM machines_requirements wanted
  LEFT JOIN machines_asked asked ON asked.requirements_id = wanted.id
  LEFT JOIN quizzes_bank bank ON bank.id = asked.bank_id
  LEFT JOIN machines_machinekind kind ON kind.id = asked.kind_id
  LEFT JOIN machines_machine machine ON machine.id = asked.machine_id
  LEFT JOIN machines_machinekind made ON made.id = machine.kind_id
 WHERE wanted.school_id IN ({ids}) AND wanted.holds_from <= %(at)s
 ORDER BY wanted.holds_from, wanted.id, asked.place
"""

# One row a machine that was in its shop then, with what is read of its kind: its lists stand on its own page alone.
KIND = ("id", "school_id", "code", "name", "bank_id", "stop", "pictogram")
MACHINES = f"""
SELECT machine.*, {", ".join(f"kind.{column} AS kind_{column}" for column in KIND if column != "id")},
       bank.subject AS subject
  FROM machines_machine machine
  LEFT JOIN machines_machinekind kind ON kind.id = machine.kind_id
  LEFT JOIN quizzes_bank bank ON bank.id = kind.bank_id
 WHERE machine.school_id IN ({{ids}}) AND machine.added_at <= %(at)s
   AND (machine.retired_at IS NULL OR machine.retired_at > %(at)s)
 ORDER BY machine.number, machine.id
"""  # noqa: S608  names of columns, from above


class RequirementTerms(NamedTuple):
    """What requirements say beside the things they ask for. The defaults: where nobody has set anything."""

    as_kind: bool = False
    agreement: bool = True
    demonstration: Any = "machine"  # the column's choices are the rule's
    ends_with: Any = "term"
    refresh_days: int | None = None
    unused_days: int | None = None


class PrerequisiteRow(NamedTuple):
    """One thing asked for: a bank and its subject, or a kind or a machine and how it is spoken of."""

    name: str
    bank_id: int | None = None
    kind_id: int | None = None
    machine_id: int | None = None


def asked_by_machine(school_id: int, at: datetime) -> dict[int, facts.MachineRequirements]:
    """What every machine of a school asked for at `at`. Three queries."""
    return asks_at(school_id, at).as_facts()


def asks_at(school_id: int, at: datetime) -> "SchoolRequirements":
    """Three queries."""
    there = _machines(school_id, at)
    own = {
        machine.kind_id: PrerequisiteRow(machine.subject, machine.kind.bank_id)
        for machine in there
        if machine.kind.bank_id
    }
    terms: dict[Whose, RequirementTerms] = {}
    things: dict[Whose, list[PrerequisiteRow]] = {}
    last: dict[Whose, int] = {}
    for pk, kind, machine, *row in plain_rows(ASKED, [school_id], at):
        whose = (kind, machine)
        if last.get(whose) != pk:
            last[whose], terms[whose], things[whose] = pk, RequirementTerms(*row[:6]), []
        things[whose] += _prerequisites(*row[6:])
    return SchoolRequirements(
        {machine.pk: machine for machine in there}, terms, things, own, practice_only(school_id, at)
    )


def _machines(school_id: int, at: datetime) -> list[Any]:
    """With their kinds, and `subject`, that of the kind's own bank."""
    there = plain_instances(Machine, MACHINES, [school_id], at)
    kinds: dict[int, MachineKind] = {}
    for machine in there:
        if machine.kind_id not in kinds:
            values = [machine.kind_id, *(getattr(machine, f"kind_{column}") for column in KIND[1:])]
            kinds[machine.kind_id] = MachineKind.from_db(connection.alias, KIND, values)
        machine.kind = kinds[machine.kind_id]
    return there


def _prerequisites(
    bank: int | None, subject: str, kind: int | None, kind_name: str, machine: int | None, *said: Any
) -> list[PrerequisiteRow]:
    """None or one: requirements that ask for nothing first have a row all the same."""
    if bank is not None:
        return [PrerequisiteRow(subject, bank_id=bank)]
    if kind is not None:
        return [PrerequisiteRow(in_a_sentence(kind_name), kind_id=kind)]
    if machine is not None:
        name, number, made = said
        return [PrerequisiteRow(f"{name or in_a_sentence(made)} {number}", machine_id=machine)]
    return []


def _name(thing: Prerequisite) -> str:
    return thing.bank.subject if thing.bank else prerequisite_text(thing)


@dataclass(frozen=True)
class SchoolRequirements:
    """What all machines of one school ask for at one moment."""

    machines: dict[int, Machine]
    terms: dict[Whose, RequirementTerms]
    things: dict[Whose, list[PrerequisiteRow]]
    own: dict[int, PrerequisiteRow]  # kind → its own bank
    practice: frozenset[int]  # banks that are practice only

    def with_change(self, row: Requirements, asked: Sequence[Prerequisite]) -> "SchoolRequirements":
        """As it would be with one more row, saved or not."""
        whose = (row.kind_id, row.machine_id)
        terms = RequirementTerms(
            row.as_kind, row.agreement, row.demonstration, row.ends_with, row.refresh_days, row.unused_days
        )
        things = [PrerequisiteRow(_name(one), one.bank_id, one.kind_id, one.machine_id) for one in asked]
        return replace(self, terms=self.terms | {whose: terms}, things=self.things | {whose: things})

    def asked_by(self, machine: Machine) -> tuple[RequirementTerms, list[PrerequisiteRow]]:
        for whose in (row_key(self.terms, machine), (machine.kind_id, None)):
            if whose in self.terms:
                return self.terms[whose], self.things.get(whose, [])
        # A kind for which nobody has set anything asks for its own quiz.
        return RequirementTerms(), [self.own[machine.kind_id]] if machine.kind_id in self.own else []

    def as_facts(self) -> dict[int, facts.MachineRequirements]:
        build = _RequirementBuilder(self)
        return {pk: build.one(pk) for pk in self.machines}


@dataclass
class _RequirementBuilder:
    """Builds the facts of all machines, each once, those asked first inside those that ask."""

    asks: SchoolRequirements
    built: dict[int, facts.MachineRequirements] = field(default_factory=dict)
    building: set[int] = field(default_factory=set)
    of_kind: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))

    def __post_init__(self) -> None:
        for pk, machine in self.asks.machines.items():
            self.of_kind[machine.kind_id].append(pk)

    def one(self, pk: int) -> facts.MachineRequirements:
        if pk in self.built:
            return self.built[pk]
        machine = self.asks.machines[pk]
        terms, things = self.asks.asked_by(machine)
        self.building.add(pk)
        built = facts.MachineRequirements(
            machine=pk,
            kind=machine.kind_id,
            name=machine.spoken,
            banks=tuple(self.bank(thing.bank_id, thing.name) for thing in things if thing.bank_id),
            own_bank=machine.kind.bank_id,
            first=tuple(self.first(thing) for thing in things if not thing.bank_id),
            agreement=terms.agreement,
            demonstration=terms.demonstration,
            ends_with=terms.ends_with,
            refresh_days=terms.refresh_days,
            unused_days=terms.unused_days,
        )
        self.building.discard(pk)
        self.built[pk] = built
        return built

    def bank(self, pk: int, subject: str) -> facts.QuizRequirement:
        return facts.QuizRequirement(pk, subject, accepted=pk not in self.asks.practice)

    def first(self, thing: PrerequisiteRow) -> facts.ClearedFirst:
        """Circles are refused when they are drawn; should one be there all the same, it can't be met."""
        wanted = self.of_kind.get(thing.kind_id or 0, []) if thing.machine_id is None else [thing.machine_id]
        there = [pk for pk in wanted if pk in self.asks.machines and pk not in self.building]
        return facts.ClearedFirst(thing.name, tuple(self.one(pk) for pk in there))
