"""What machines ask for at a moment, as facts; and which asks for which, as a graph."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db.models import QuerySet

from machines import facts
from machines.models import Asked, Machine, MachineKind, Requirements
from quizzes.accepted import practice_only
from quizzes.models import Bank

# Whose requirements: those of a kind (kind, None), or of one machine of it (kind, machine).
type Whose = tuple[int, int | None]


def in_service_life(machines: QuerySet[Machine], at: datetime) -> QuerySet[Machine]:
    """Those that were in their shop at `at`, tagged out or not."""
    return machines.filter(added_at__lte=at).exclude(retired_at__lte=at)


def asked_by_machine(school_id: int, at: datetime) -> dict[int, facts.Requirements]:
    """What every machine of a school asked for at `at`. Four queries."""
    return plan_at(school_id, at).as_facts()


def plan_at(school_id: int, at: datetime) -> "Plan":
    """Everything asked for in a school at `at`: the latest rows that have come into force. Four queries."""
    machines = in_service_life(Machine.objects.filter(school=school_id), at)
    machines = machines.select_related("kind__bank").defer(*_drafts("kind__bank"), *_lists("kind"))
    rows = Requirements.objects.filter(school=school_id, holds_from__lte=at).order_by("holds_from", "pk")
    last: dict[Whose, Requirements] = {
        (row.kind_id, row.machine_id): row for row in rows.select_related("kind").defer(*_lists("kind"))
    }
    whose = {row.pk: key for key, row in last.items()}
    things: dict[Whose, list[Asked]] = defaultdict(list)
    asked = Asked.objects.filter(requirements__in=list(whose)).order_by("requirements", "place")
    for thing in asked.select_related("bank", "kind", "machine__kind").defer(
        *_drafts("bank"), *_lists("kind"), *_lists("machine__kind")
    ):
        things[whose[thing.requirements_id]].append(thing)
    there = {machine.pk: machine for machine in machines.order_by("number", "pk")}
    return Plan(there, last, dict(things), practice_only(school_id, at))


def _drafts(bank: str) -> tuple[str, ...]:
    """A bank's draft is long, and nothing here reads it."""
    return (f"{bank}__draft", f"{bank}__draft_pictures")


def _lists(kind: str) -> tuple[str, ...]:
    """What a kind says on its page; here only its name is read."""
    return tuple(f"{kind}__{name}" for name in ("protect", "pre_use", "demonstration", "tag_out", "stop_and_ask"))


@dataclass(frozen=True)
class Plan:
    """What all machines of one school ask for at one moment."""

    machines: dict[int, Machine]
    rows: dict[Whose, Requirements]
    things: dict[Whose, list[Asked]]
    practice: frozenset[int] = frozenset()  # banks that are practice only

    def with_change(self, row: Requirements, things: Sequence[Asked]) -> "Plan":
        """The plan as it would be with one more row, saved or not."""
        whose = (row.kind_id, row.machine_id)
        return replace(self, rows=self.rows | {whose: row}, things=self.things | {whose: list(things)})

    def whose(self, machine: Machine) -> Whose:
        """Whose requirements are this machine's: its own, or its kind's."""
        own = self.rows.get((machine.kind_id, machine.pk))
        return (machine.kind_id, machine.pk if own is not None and not own.as_kind else None)

    def is_own(self, machine: Machine) -> bool:
        """Whether this machine asks for something else than its kind."""
        return self.whose(machine)[1] is not None

    def asked_by(self, machine: Machine) -> tuple[Requirements, list[Asked]]:
        whose = self.whose(machine)
        return (self.rows[whose], self.things.get(whose, [])) if whose in self.rows else self.of(machine.kind)

    def of(self, kind: MachineKind) -> tuple[Requirements, list[Asked]]:
        """What a kind asks for, whether or not a machine of it stands anywhere."""
        whose = (kind.pk, None)
        if whose in self.rows:
            return self.rows[whose], self.things.get(whose, [])
        # A kind for which nobody has set anything asks for its own quiz.
        return Requirements(kind=kind), [Asked(bank=kind.bank)] if kind.bank else []

    def of_kind(self, kind_id: int) -> list[Machine]:
        return [machine for machine in self.machines.values() if machine.kind_id == kind_id]

    def as_facts(self) -> dict[int, facts.Requirements]:
        build = _Build(self)
        return {pk: build.one(pk) for pk in self.machines}

    def to_draw(self) -> dict[str, list[str]]:
        """Which kind asks for which kind or machine first; a machine stands there if it differs or is asked for."""
        graph: dict[str, list[str]] = {}
        for key, row in self.rows.items():
            machine = self.machines.get(key[1] or 0)
            if key[1] is None or (machine is not None and self.whose(machine) == key):
                graph[(machine or row.kind).spoken] = self.firsts(key)
        for machine in self.machines.values():
            if any(machine.spoken in firsts for firsts in graph.values()):
                graph.setdefault(machine.spoken, self.firsts(self.whose(machine)))
        return graph

    def firsts(self, whose: Whose) -> list[str]:
        """The spoken names of the kinds and machines that come first."""
        return [_spoken(thing) for thing in self.things.get(whose, []) if thing.bank is None]

    def asks_first(self) -> dict[str, list[str]]:
        """Which kind or machine asks for which first, by their spoken names: for finding circles and for drawing.

        A kind stands for all its machines, since any of them may be the one that is shown first. A machine of its
        own requirements stands beside its kind.
        """
        graph: dict[str, list[str]] = {}
        for (_, machine_id), row in self.rows.items():
            kind = row.kind.spoken
            graph.setdefault(kind, [])
            machine = self.machines.get(machine_id or 0)
            if machine_id is not None and (machine is None or self.whose(machine)[1] is None):
                continue
            firsts = self.firsts((row.kind_id, machine_id))
            _extend(graph[kind], firsts)
            if machine is not None:
                _extend(graph.setdefault(machine.spoken, []), firsts)
        for machine in self.machines.values():
            if self.whose(machine)[1] is None:
                graph.setdefault(machine.spoken, []).extend(graph.get(machine.kind.spoken, []))
        return graph


def _extend(names: list[str], more: Iterable[str]) -> None:
    names += [name for name in more if name not in names]


def _spoken(thing: Asked) -> str:
    return thing.machine.spoken if thing.machine else thing.kind.spoken if thing.kind else ""


@dataclass
class _Build:
    """Builds the facts of all machines of a plan, each once, those asked first inside those that ask."""

    plan: Plan
    built: dict[int, facts.Requirements] = field(default_factory=dict)
    building: set[int] = field(default_factory=set)

    def one(self, pk: int) -> facts.Requirements:
        if pk in self.built:
            return self.built[pk]
        machine = self.plan.machines[pk]
        row, things = self.plan.asked_by(machine)
        self.building.add(pk)
        built = facts.Requirements(
            machine=pk,
            kind=machine.kind_id,
            name=machine.spoken,
            banks=tuple(self.bank(thing.bank) for thing in things if thing.bank),
            own_bank=machine.kind.bank_id,
            first=tuple(self.first(thing) for thing in things if not thing.bank),
            agreement=row.agreement,
            demonstration=row.demonstration,  # type: ignore[arg-type]  # the column's choices are the rule's
            ends_with=row.ends_with,  # type: ignore[arg-type]
            refresh_days=row.refresh_days,
            unused_days=row.unused_days,
        )
        self.building.discard(pk)
        self.built[pk] = built
        return built

    def bank(self, bank: Bank) -> facts.BankAsked:
        return facts.BankAsked(bank.pk, bank.subject, accepted=bank.pk not in self.plan.practice)

    def first(self, thing: Asked) -> facts.First:
        """Circles are refused when they are drawn; should one be there all the same, it can't be met."""
        if thing.machine is not None:
            wanted = [thing.machine.pk]
        else:
            wanted = [machine.pk for machine in self.plan.of_kind(thing.kind_id or 0)]
        there = [pk for pk in wanted if pk in self.plan.machines and pk not in self.building]
        return facts.First(_spoken(thing), tuple(self.one(pk) for pk in there))
