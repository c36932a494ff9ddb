"""The whole school at a glance: for each class and each kind of machine how many are cleared, ready, held or lapsed."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import datetime
from operator import itemgetter

from machines.clearance.facts import Standing
from machines.clearance.known_rows import records_at
from machines.clearance.loading import asks_at
from machines.clearance.rules import evaluation
from machines.holds.queries import liftable_holds
from machines.models import Hold, MachineKind
from shopsafe.language.messages import counted
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.people.classes import enrolled, running_sections

# Of a student who stands differently at two machines of a kind, the first of these counts.
BEST_FIRST = (
    Standing.CLEARED,
    Standing.READY,
    Standing.LAPSED,
    Standing.ON_HOLD,
    Standing.TRAINING,
    Standing.NOT_STARTED,
)
BEST = {standing: place for place, standing in enumerate(BEST_FIRST)}


@dataclass(frozen=True)
class KindCount:
    """One class at one kind of machine; `students` is 0 where the class's shop has none of it."""

    students: int
    counts: Counter[Standing]

    @property
    def cleared(self) -> int:
        return self.counts[Standing.CLEARED]

    @property
    def more(self) -> list[str]:
        """["3 ready to show", "1 on hold"]: those a teacher or the office acts on."""
        shown = []
        if count := self.counts[Standing.READY]:
            shown.append(counted("{count} ready for sign-off", "{count} ready for sign-off", count=count))
        if count := self.counts[Standing.LAPSED]:
            shown.append(counted("{count} expired", "{count} expired", count=count))
        if count := self.counts[Standing.ON_HOLD]:
            shown.append(counted("{count} on hold", "{count} on hold", count=count))
        return shown


@dataclass(frozen=True)
class SchoolSummary:
    kinds: list[MachineKind]
    rows: list[tuple[Section, int, list[KindCount]]]  # class, its students, a count for each kind
    decides: list[Hold]  # holds that wait for the office
    full: dict[int, str]  # student → the name distinguished from the others'


def school_summary(office: Person, at: datetime) -> SchoolSummary:
    """Every running class of the school. The number of queries grows with neither classes, students nor machines."""
    sections = running_sections(office, local_day(at, office.school.time_zone))
    asks, in_class = asks_at(office.school_id, at), enrolled(sections, at)
    named = full_names_of(student for students in in_class.values() for student in students)
    asked = asks.as_facts()
    requirements = list(asked.values())
    judged = {
        student: evaluation.standings_by(requirements, record)
        for student, record in records_at(named, office.school, asks, at).items()
    }
    machines = list(asks.machines.values())
    kinds = {machine.kind_id: machine.kind for machine in machines}
    order = sorted(kinds.values(), key=lambda kind: (kind.name, kind.pk))
    keys_by_kind: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for machine in machines:
        keys_by_kind[machine.shop_id][machine.kind_id].append(machine.pk)
    rows = []
    for section in sections:
        students = [judged[student.pk] for student in in_class[section.pk]]
        here = keys_by_kind[section.shop_id]
        rows.append((section, len(students), [_count(here[kind.pk], students) for kind in order]))
    waiting = liftable_holds(office).filter(lifted_at=None, placed_at__lte=at).order_by("placed_at", "pk")
    return SchoolSummary(order, rows, list(waiting), named)


def _count(machines: list[int], students: list[dict[int, Standing]]) -> KindCount:
    """One class at the machines of one kind, by their keys."""
    if not machines:
        return KindCount(0, Counter())
    if len(machines) == 1:
        return KindCount(len(students), Counter(map(itemgetter(machines[0]), students)))
    best = (min((standings[key] for key in machines), key=BEST.__getitem__) for standings in students)
    return KindCount(len(students), Counter(best))
