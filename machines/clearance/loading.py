"""The requirement loader: what every machine of a school asks for at a moment, for the rule, the pages and the graph.

Plain rows, no instance but machines: the ORM's instances cost more than the database here (`make bench`).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property, lru_cache
from typing import Any, NamedTuple

from machines.clearance import facts
from machines.clearance.amounts import AMOUNTS, AskedAmount, asked_amounts
from machines.clearance.out_of_use import REPORT_KEY, TAG_OUT_KEY, OutOfUse, out_of_use_by_keys
from machines.models import Machine, MachineKind, Prerequisite, Requirements
from machines.models.machines import in_a_sentence
from quizzes.banks.editions.queries import SCHOOL_EDITIONS, Publications, publications_in
from shopsafe.database.plain_rows import Columns, moment, plain_rows
from shopsafe.school.people.rules.documents import AGREEMENT, DocumentKind, document_kind

# One row a thing asked for, under the requirements that ask for it; and one row an edition of the school and its
# acceptance, which no requirements stand before.
ASKED = f"""
SELECT wanted.id, wanted.kind_id, wanted.machine_id, owner.name, CAST(wanted.holds_from AS text),
       asked.place, asked.bank_id, bank.subject, asked.kind_id, kind.name,
       asked.machine_id, machine.name, machine.number, made.name,
       wanted.as_kind, wanted.agreement, wanted.documents, wanted.demonstration, wanted.ends_with,
       {", ".join(f"wanted.{column}" for column in AMOUNTS)}
  FROM machines_requirements wanted
  LEFT JOIN machines_machinekind owner ON owner.id = wanted.kind_id
  LEFT JOIN machines_asked asked ON asked.requirements_id = wanted.id
  LEFT JOIN quizzes_bank bank ON bank.id = asked.bank_id
  LEFT JOIN machines_machinekind kind ON kind.id = asked.kind_id
  LEFT JOIN machines_machine machine ON machine.id = asked.machine_id
  LEFT JOIN machines_machinekind made ON made.id = machine.kind_id
 WHERE wanted.school_id IN ({{ids}}) AND wanted.holds_from <= %(at)s
"""  # noqa: S608  names of columns, from above
ASKED_COLUMNS, EDITION_COLUMNS = 19 + len(AMOUNTS), 9
ASKED_AND_EDITIONS = f"""
SELECT asked_rows.*{", NULL" * EDITION_COLUMNS} FROM ({ASKED}) asked_rows
UNION ALL
SELECT {"NULL, " * ASKED_COLUMNS}edition_rows.* FROM ({SCHOOL_EDITIONS}) edition_rows
"""  # noqa: S608  statements of ours

# One row a machine that was in its shop then, with what is read of its kind: its lists are on its own page alone.
MACHINE = Columns(Machine, "machine")
KIND = Columns(MachineKind, "kind", ("id", "school_id", "code", "name", "bank_id", "stop", "pictogram"))
MACHINES = f"""
SELECT {TAG_OUT_KEY}, {REPORT_KEY}, bank.subject, {MACHINE.sql}, {KIND.sql}
  FROM machines_machine machine
  LEFT JOIN machines_machinekind kind ON kind.id = machine.kind_id
  LEFT JOIN quizzes_bank bank ON bank.id = kind.bank_id
 WHERE machine.school_id IN ({{ids}}) AND machine.added_at <= %(at)s
   AND (machine.retired_at IS NULL OR machine.retired_at > %(at)s)
"""  # noqa: S608  names of columns, from above


# Whose requirements: those of a kind (kind, None), or of one machine of it (kind, machine).
type Whose = tuple[int, int | None]


class RequirementTerms(NamedTuple):
    """What requirements say beside the things they ask for. The defaults: where no one has set anything."""

    as_kind: bool = False
    agreement: bool = True
    documents: str = ""  # codes of further documents, in one line
    demonstration: Any = "machine"  # the column's choices are the rule's
    ends_with: Any = "term"
    amounts: tuple[AskedAmount, ...] = ()

    @property
    def document_kinds(self) -> tuple[DocumentKind, ...]:
        """The documents that must be on record: the safety agreement has a column of its own."""
        further = tuple(document_kind(code) for code in self.documents.split())
        return (AGREEMENT, *further) if self.agreement else further

    @property
    def demonstration_label(self) -> str:
        return str(Requirements.Demonstration(self.demonstration).label)

    @property
    def ends_with_label(self) -> str:
        return str(Requirements.Ends(self.ends_with).label)


class PrerequisiteRow(NamedTuple):
    """One thing asked for: a bank and its subject, or a kind or a machine and how it is spoken of."""

    name: str
    bank_id: int | None = None
    kind_id: int | None = None
    machine_id: int | None = None


def asked_by_machine(school_id: int, at: datetime) -> dict[int, facts.MachineRequirements]:
    """What every machine of a school asked for at `at`. Two queries."""
    return asks_at(school_id, at).as_facts()


def asks_at(school_id: int, at: datetime) -> "SchoolRequirements":
    """Load what every machine of a school asked for at `at`: the latest rows then in force. Two queries."""
    machine_rows = plain_rows(MACHINES, [school_id], at)
    machines = {machine.pk: machine for machine in _machines(machine_rows)}
    read = _read(tuple(plain_rows(ASKED_AND_EDITIONS, [school_id], at)))
    return SchoolRequirements(
        machines=machines,
        terms=read.terms,
        things=read.things,
        since=read.since,
        kinds=read.kinds,
        own=_own_banks(machines),
        publications=read.publications,
        rows=(read, tuple([row[2:] for row in machine_rows])),
    )


@dataclass(frozen=True, eq=False)
class ReadRows:
    """What the rows of ASKED_AND_EDITIONS say. Never changed: it serves all requests that read the same rows."""

    terms: dict[Whose, RequirementTerms]
    things: dict[Whose, list[PrerequisiteRow]]
    since: dict[Whose, datetime]
    kinds: dict[int, str]
    publications: Publications


# A school changes its requirements a few times a year, and every page asks for them: what equal rows say is worked out
# once. The rows themselves are read each time, so that an act shows at once, in every process. Some 100 kB a school.
@lru_cache(maxsize=64)
def _read(rows: tuple[tuple[Any, ...], ...]) -> ReadRows:
    read = ReadRows({}, {}, {}, {}, publications_in(row[ASKED_COLUMNS:] for row in rows if row[0] is None))
    last: dict[Whose, int] = {}
    asked = [row[:ASKED_COLUMNS] for row in rows if row[0] is not None]
    for row in sorted(asked, key=lambda row: (moment(row[4]), row[0], row[5] or 0)):
        (pk, kind, machine, kind_name, holds_from, _, *thing), columns = row[:14], row[14:]
        whose = (kind, machine)
        if last.get(whose) != pk:
            last[whose], read.terms[whose], read.things[whose] = pk, _terms(columns), []
            read.since[whose], read.kinds[kind] = moment(holds_from), in_a_sentence(kind_name)
        read.things[whose] += _prerequisites(*thing)
    return read


def _terms(columns: Sequence[Any]) -> RequirementTerms:
    """Of the last columns of ASKED."""
    as_kind, agreement, documents, demonstration, ends_with, *numbers = columns
    amounts = asked_amounts(dict(zip(AMOUNTS, numbers, strict=True)))
    return RequirementTerms(as_kind, agreement, documents, demonstration, ends_with, amounts)


def _own_banks(machines: Mapping[int, Any]) -> dict[int, PrerequisiteRow]:
    """Kind → its own bank."""
    kinds = {machine.kind_id: machine for machine in machines.values() if machine.kind.bank_id}
    return {kind: PrerequisiteRow(machine.subject, machine.kind.bank_id) for kind, machine in kinds.items()}


def _machines(rows: Iterable[Sequence[Any]]) -> list[Any]:
    """By number, with their kinds, `subject`, that of the kind's own bank, and the keys of what keeps them out of
    use."""
    machines: list[Any] = []
    kinds: dict[int, MachineKind] = {}
    width = 3 + len(MACHINE.names)
    for row in rows:
        machine: Any = MACHINE.instance(row[3:width])
        machine.tag_out_key, machine.report_key, machine.subject = row[:3]
        kind = kinds.get(machine.kind_id)
        if kind is None:
            kind = kinds[machine.kind_id] = KIND.instance(row[width:])
        machine._state.fields_cache["kind"] = kind
        machines.append(machine)
    return sorted(machines, key=lambda machine: (machine.number, machine.pk))


def _prerequisites(
    bank: int | None, subject: str, kind: int | None, kind_name: str, machine: int | None, *columns: Any
) -> list[PrerequisiteRow]:
    """None or one: requirements that ask for nothing first have a row all the same."""
    if bank is not None:
        return [PrerequisiteRow(subject, bank_id=bank)]
    if kind is not None:
        return [PrerequisiteRow(in_a_sentence(kind_name), kind_id=kind)]
    if machine is not None:
        name, number, machine_kind_name = columns
        return [PrerequisiteRow(f"{name or in_a_sentence(machine_kind_name)} {number}", machine_id=machine)]
    return []


def row_key(rows: Mapping[Whose, RequirementTerms], machine: Machine) -> Whose:
    """Return whose requirements are this machine's: its own, or its kind's."""
    own = rows.get((machine.kind_id, machine.pk))
    return (machine.kind_id, machine.pk if own is not None and not own.as_kind else None)


def terms_of(row: Requirements) -> RequirementTerms:
    """What a row says, as the loader reads it, saved or not."""
    amounts = asked_amounts({column: getattr(row, column) for column in AMOUNTS})
    return RequirementTerms(row.as_kind, row.agreement, row.documents, row.demonstration, row.ends_with, amounts)


def prerequisite_row(thing: Prerequisite) -> PrerequisiteRow:
    """A prerequisite as the loader reads it, saved or not."""
    spoken = thing.bank.subject if thing.bank else (thing.machine or thing.kind).spoken  # type: ignore[union-attr]
    return PrerequisiteRow(spoken, thing.bank_id, thing.kind_id, thing.machine_id)


@dataclass(frozen=True)
class SchoolRequirements:
    """What all machines of one school ask for at one moment."""

    machines: dict[int, Machine]
    terms: dict[Whose, RequirementTerms]
    things: dict[Whose, list[PrerequisiteRow]]
    since: dict[Whose, datetime]  # from when the terms hold
    kinds: dict[int, str]  # kind with requirements of its own, or of a machine of it → how it is spoken of
    own: dict[int, PrerequisiteRow]  # kind → its own bank
    publications: Publications  # bank → its editions
    rows: tuple[ReadRows, tuple[Any, ...]] | None = field(default=None, compare=False)  # what it was made of

    @cached_property
    def practice(self) -> frozenset[int]:
        """The banks that are practice only: no teacher accepts the latest edition."""
        return frozenset(bank for bank, editions in self.publications.items() if editions and not editions[-1].accepted)

    def out_of_use(self, machine_ids: Iterable[int]) -> dict[int, OutOfUse]:
        """Machine → why no one may use it. No query where all may be used."""
        machines = [self.machines[pk] for pk in machine_ids if pk in self.machines]
        return out_of_use_by_keys((machine.pk, machine.tag_out_key, machine.report_key) for machine in machines)  # type: ignore[attr-defined]  # columns of MACHINES

    def with_change(self, row: Requirements, things: Sequence[Prerequisite]) -> "SchoolRequirements":
        """Return the requirements as they would be with one more row, saved or not."""
        whose = (row.kind_id, row.machine_id)
        rows = [prerequisite_row(thing) for thing in things]
        return replace(
            self,
            terms=self.terms | {whose: terms_of(row)},
            things=self.things | {whose: rows},
            since=self.since | {whose: row.holds_from},
            kinds=self.kinds | {row.kind_id: row.kind.spoken},
            rows=None,
        )

    @property
    def counted(self) -> frozenset[str]:
        """Return the sorts of records that amounts in this school count."""
        amounts = (amount for terms in self.terms.values() for amount in terms.amounts)
        return frozenset(amount.kind.counts for amount in amounts if amount.kind.counts)

    @property
    def count_days(self) -> bool:
        """Return True if a clearance in this school may end with anything but a term, a document or an edition: then
        it counts from when a student signed off, passed or used a machine."""
        return any(terms.amounts or terms.ends_with == "year" for terms in self.terms.values())

    @property
    def count_kinds(self) -> bool:
        """Return True if a sign-off may count for all machines of a kind."""
        return any(terms.demonstration == "kind" for terms in self.terms.values())

    def whose(self, machine: Machine) -> Whose:
        return row_key(self.terms, machine)

    def is_own(self, machine: Machine) -> bool:
        """Return True if this machine asks for something else than its kind."""
        return self.whose(machine)[1] is not None

    def asked_by(self, machine: Machine) -> tuple[RequirementTerms, list[PrerequisiteRow]]:
        whose = self.whose(machine)
        if whose in self.terms:
            return self.terms[whose], self.things.get(whose, [])
        return self.of(machine.kind_id, self.own.get(machine.kind_id))

    def of(
        self, kind_id: int, own_bank: PrerequisiteRow | None = None
    ) -> tuple[RequirementTerms, list[PrerequisiteRow]]:
        """Return what a kind asks for, whether or not a machine of it stands anywhere. A kind for which no one has set
        anything asks for its own quiz."""
        whose = (kind_id, None)
        if whose in self.terms:
            return self.terms[whose], self.things.get(whose, [])
        return RequirementTerms(), [own_bank] if own_bank else []

    def of_kind(self, kind_id: int) -> list[Machine]:
        return [machine for machine in self.machines.values() if machine.kind_id == kind_id]

    def firsts(self, whose: Whose) -> list[str]:
        """Return the spoken names of the kinds and machines that come first."""
        return [thing.name for thing in self.things.get(whose, []) if thing.bank_id is None]

    def to_draw(self) -> dict[str, list[str]]:
        """Which kind asks for which kind or machine first; a machine is there if it differs or is asked for."""
        graph: dict[str, list[str]] = {}
        for key in self.terms:
            machine = self.machines.get(key[1] or 0)
            if key[1] is None or (machine is not None and self.whose(machine) == key):
                graph[machine.spoken if machine else self.kinds[key[0]]] = self.firsts(key)
        for machine in self.machines.values():
            if any(machine.spoken in firsts for firsts in graph.values()):
                graph.setdefault(machine.spoken, self.firsts(self.whose(machine)))
        return graph

    def asks_first(self) -> dict[str, list[str]]:
        """Which kind or machine asks for which first, by their spoken names: for finding circles.

        A kind stands for all its machines, since any of them may be the one that is shown first. A machine of its
        own requirements is beside its kind.
        """
        graph: dict[str, list[str]] = {}
        for kind_id, machine_id in self.terms:
            kind = self.kinds[kind_id]
            graph.setdefault(kind, [])
            machine = self.machines.get(machine_id or 0)
            if machine_id is not None and (machine is None or self.whose(machine)[1] is None):
                continue
            firsts = self.firsts((kind_id, machine_id))
            _extend(graph[kind], firsts)
            if machine is not None:
                _extend(graph.setdefault(machine.spoken, []), firsts)
        for machine in self.machines.values():
            if self.whose(machine)[1] is None:
                graph.setdefault(machine.spoken, []).extend(graph.get(machine.kind.spoken, []))
        return graph

    def as_facts(self) -> dict[int, facts.MachineRequirements]:
        """By machine. The facts of equal rows are built once, as `_read` reads them."""
        return dict(_facts(*self.rows)) if self.rows else _built(self)


def _built(asks: SchoolRequirements) -> dict[int, facts.MachineRequirements]:
    build = _RequirementBuilder(asks)
    return {pk: build.one(pk) for pk in asks.machines}


@lru_cache(maxsize=64)
def _facts(read: ReadRows, machine_rows: tuple[tuple[Any, ...], ...]) -> dict[int, facts.MachineRequirements]:
    machines = {machine.pk: machine for machine in _machines((None, None, *row) for row in machine_rows)}
    rows = (read.terms, read.things, read.since, read.kinds, _own_banks(machines), read.publications)
    return _built(SchoolRequirements(machines, *rows))


def _extend(names: list[str], more: Iterable[str]) -> None:
    names += [name for name in more if name not in names]


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
            documents=terms.document_kinds,
            demonstration=terms.demonstration,
            ends_with=terms.ends_with,
            amounts=terms.amounts,
        )
        self.building.discard(pk)
        self.built[pk] = built
        return built

    def bank(self, pk: int, subject: str) -> facts.QuizRequirement:
        return facts.QuizRequirement(pk, subject, accepted=pk not in self.asks.practice)

    def first(self, thing: PrerequisiteRow) -> facts.ClearedFirst:
        """Circles are refused when they are drawn; should one be there all the same, it can't be met."""
        machine_pks = self.of_kind.get(thing.kind_id or 0, []) if thing.machine_id is None else [thing.machine_id]
        usable_pks = [pk for pk in machine_pks if pk in self.asks.machines and pk not in self.building]
        return facts.ClearedFirst(thing.name, tuple(self.one(pk) for pk in usable_pks))
