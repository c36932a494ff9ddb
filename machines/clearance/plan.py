"""What machines ask for at a moment, for the pages that set and draw it; and which asks for which, as a graph."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from machines.models import Machine, MachineKind, Prerequisite, Requirements

# Whose requirements: those of a kind (kind, None), or of one machine of it (kind, machine).
type Whose = tuple[int, int | None]


def in_service_life(machines: QuerySet[Machine], at: datetime) -> QuerySet[Machine]:
    """Those that were in their shop at `at`, tagged out or not."""
    return machines.filter(added_at__lte=at).exclude(retired_at__lte=at)


def row_key(rows: Mapping[Whose, Any], machine: Machine) -> Whose:
    """Whose requirements are this machine's: its own, or its kind's. `rows` say `as_kind`."""
    own = rows.get((machine.kind_id, machine.pk))
    return (machine.kind_id, machine.pk if own is not None and not own.as_kind else None)


def plan_at(school_id: int, at: datetime) -> "RequirementPlan":
    """Everything asked for in a school at `at`: the latest rows that have come into force. Three queries."""
    machines = in_service_life(Machine.objects.filter(school=school_id), at)
    machines = machines.select_related("kind__bank").defer(*_drafts("kind__bank"), *prerequisite_lists("kind"))
    rows = Requirements.objects.filter(school=school_id, holds_from__lte=at).order_by("holds_from", "pk")
    last: dict[Whose, Requirements] = {
        (row.kind_id, row.machine_id): row for row in rows.select_related("kind").defer(*prerequisite_lists("kind"))
    }
    whose = {row.pk: key for key, row in last.items()}
    things: dict[Whose, list[Prerequisite]] = defaultdict(list)
    asked = Prerequisite.objects.filter(requirements__in=list(whose)).order_by("requirements", "place")
    for thing in asked.select_related("bank", "kind", "machine__kind").defer(
        *_drafts("bank"), *prerequisite_lists("kind"), *prerequisite_lists("machine__kind")
    ):
        things[whose[thing.requirements_id]].append(thing)
    there = {machine.pk: machine for machine in machines.order_by("number", "pk")}
    return RequirementPlan(there, last, dict(things))


def _drafts(bank: str) -> tuple[str, ...]:
    """A bank's draft is long, and nothing here reads it."""
    return (f"{bank}__draft", f"{bank}__draft_pictures")


def prerequisite_lists(kind: str) -> tuple[str, ...]:
    """What a kind says on its page; here only its name is read."""
    return tuple(f"{kind}__{name}" for name in ("protect", "pre_use", "demonstration", "tag_out", "stop_and_ask"))


@dataclass(frozen=True)
class RequirementPlan:
    """What all machines of one school ask for at one moment."""

    machines: dict[int, Machine]
    rows: dict[Whose, Requirements]
    things: dict[Whose, list[Prerequisite]]

    def with_change(self, row: Requirements, things: Sequence[Prerequisite]) -> "RequirementPlan":
        """The plan as it would be with one more row, saved or not."""
        whose = (row.kind_id, row.machine_id)
        return replace(self, rows=self.rows | {whose: row}, things=self.things | {whose: list(things)})

    def whose(self, machine: Machine) -> Whose:
        return row_key(self.rows, machine)

    def is_own(self, machine: Machine) -> bool:
        """Whether this machine asks for something else than its kind."""
        return self.whose(machine)[1] is not None

    def asked_by(self, machine: Machine) -> tuple[Requirements, list[Prerequisite]]:
        whose = self.whose(machine)
        return (self.rows[whose], self.things.get(whose, [])) if whose in self.rows else self.of(machine.kind)

    def of(self, kind: MachineKind) -> tuple[Requirements, list[Prerequisite]]:
        """What a kind asks for, whether or not a machine of it stands anywhere."""
        whose = (kind.pk, None)
        if whose in self.rows:
            return self.rows[whose], self.things.get(whose, [])
        # A kind for which nobody has set anything asks for its own quiz.
        return Requirements(kind=kind), [Prerequisite(bank=kind.bank)] if kind.bank else []

    def of_kind(self, kind_id: int) -> list[Machine]:
        return [machine for machine in self.machines.values() if machine.kind_id == kind_id]

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
        return [prerequisite_text(thing) for thing in self.things.get(whose, []) if thing.bank is None]

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


def prerequisite_text(thing: Prerequisite) -> str:
    return thing.machine.spoken if thing.machine else thing.kind.spoken if thing.kind else ""
