"""Small classes and shops for the plan and the rota, and the slow sure way to the best answer: try everything."""

import itertools
from collections.abc import Iterator
from math import ceil

from hypothesis import strategies as st

from machines.planning.facts import (
    Demonstration,
    PlanFacts,
    PlanStudent,
    Readiness,
    RotaFacts,
    RotaMachine,
    RotaStudent,
    Seat,
    SeatChoice,
)

NAMES = ["Ana B.", "Ben C.", "Cleo D.", "Dov E."]
PLACES = ["band saw 1", "drill press 2", "scroll saw 3"]


@st.composite
def plan_facts(draw: st.DrawFn) -> PlanFacts:
    """Up to four students and three demonstrations; a later one may need an earlier one first."""
    students = tuple(
        PlanStudent(key, NAMES[key], draw(st.integers(0, 3)), draw(st.sampled_from([True, True, True, False])))
        for key in range(draw(st.integers(1, 4)))
    )
    demonstrations = tuple(
        Demonstration(
            key=10 + key,
            name=PLACES[key],
            minutes=draw(st.integers(0, 9)),
            minutes_each=draw(st.integers(0, 2)),
            group_size=draw(st.integers(1, 3)),
            in_service=draw(st.sampled_from([True, True, True, False])),
        )
        for key in range(draw(st.integers(1, 3)))
    )
    keys = [demonstration.key for demonstration in demonstrations]
    readiness = []
    for student, (place, key) in itertools.product(students, enumerate(keys)):
        if draw(st.booleans()):
            group = st.lists(st.sampled_from(keys[:place]), min_size=1, max_size=2, unique=True).map(tuple)
            after = draw(st.lists(group, max_size=2)) if place else []
            readiness.append(Readiness(student.key, key, tuple(after)))
    return PlanFacts(draw(st.integers(0, 30)), students, demonstrations, tuple(readiness))


def best_plan(facts: PlanFacts) -> tuple[int, int, int, int]:
    """(students, sign-offs, -machines so far, -minutes) of the best of all plans."""
    here = {student.key for student in facts.students if student.here}
    running = {demonstration.key: demonstration for demonstration in facts.demonstrations if demonstration.in_service}
    rows = [row for row in facts.readiness if row.student in here and row.demonstration in running]
    machines = {student.key: student.machines for student in facts.students}
    best = (0, 0, 0, 0)
    for count in range(len(rows) + 1):
        for chosen in itertools.combinations(rows, count):
            pairs = {(row.student, row.demonstration) for row in chosen}
            if not all(any((row.student, item) in pairs for item in group) for row in chosen for group in row.after):
                continue
            minutes = 0
            for key, demonstration in running.items():
                size = sum(pair[1] == key for pair in pairs)
                minutes += ceil(size / demonstration.group_size) * demonstration.minutes
                minutes += size * demonstration.minutes_each
            if minutes <= facts.minutes:
                so_far = sum(machines[student] for student, _ in pairs)
                best = max(best, (len({student for student, _ in pairs}), count, -so_far, -minutes))
    return best


@st.composite
def rota_facts(draw: st.DrawFn, helpers: bool = True) -> RotaFacts:
    """Up to four students, two machines and two slots; or two students and three slots. A machine may need a helper."""
    slots = draw(st.integers(1, 3))
    some = st.none() | st.frozensets(st.integers(0, slots - 1))
    students = tuple(
        RotaStudent(key, NAMES[key], draw(st.integers(0, 6)) * 5, key != draw(st.integers(0, 8)), draw(some))
        for key in range(draw(st.integers(1, 4 if slots < 3 else 2)))
    )
    machines = tuple(
        RotaMachine(
            key=10 + key,
            name=PLACES[key],
            helpers=draw(st.integers(0, 1)) if helpers else 0,
            in_service=draw(st.sampled_from([True, True, True, False])),
            slots=draw(some),
        )
        for key in range(draw(st.integers(1, 2)))
    )
    pairs = [(student.key, machine.key) for student in students for machine in machines]
    several = st.frozensets(st.sampled_from(pairs))
    minutes_at = {pair: draw(st.integers(0, 4)) * 5 for pair in pairs}
    return RotaFacts(slots, 10, students, machines, draw(several), draw(several), minutes_at)


type Score = tuple[int, int, int]


def score(choices: list[SeatChoice], facts: RotaFacts) -> Score:
    """(turns, -machine time before the turns, -minutes at the machine before them and helping): larger is better."""
    minutes = {student.key: student.minutes for student in facts.students}
    fairness = same = 0
    times = dict.fromkeys(minutes, 0)
    at, helping = dict.fromkeys(((s, m.key) for s in minutes for m in facts.machines), 0), dict.fromkeys(minutes, 0)
    for (_, machine, student), helpers in choices:
        fairness += minutes[student] + times[student] * facts.slot_minutes
        times[student] += 1
        same += facts.minutes_at.get((student, machine), 0) + at[student, machine] * facts.slot_minutes
        at[student, machine] += 1
        for helper in helpers:
            same += helping[helper] * facts.slot_minutes
            helping[helper] += 1
    return len(choices), -fairness, -same


def best_rota(facts: RotaFacts) -> Score:
    """The score of the best of all rotas. The costs of a slot depend on the other slots, so all are combined."""
    by_slot = [list(_slot_choices(facts, slot)) for slot in range(facts.slots)]
    return max(score(list(itertools.chain(*parts)), facts) for parts in itertools.product(*by_slot))


def all_rotas(facts: RotaFacts) -> Iterator[list[SeatChoice]]:
    by_slot = [list(_slot_choices(facts, slot)) for slot in range(facts.slots)]
    for parts in itertools.product(*by_slot):
        yield list(itertools.chain(*parts))


def _slot_choices(facts: RotaFacts, slot: int) -> Iterator[list[SeatChoice]]:
    """Every way to fill one slot: each machine empty or with a student and helpers, no student in two places."""
    here = [s.key for s in facts.students if s.here and (s.slots is None or slot in s.slots)]
    ways: list[list[SeatChoice | None]] = []
    for machine in facts.machines:
        options: list[SeatChoice | None] = [None]
        if machine.in_service and (machine.slots is None or slot in machine.slots):
            for student in here:
                if (student, machine.key) in facts.cleared:
                    may = [key for key in here if key != student and (key, machine.key) in facts.may_help]
                    for helpers in itertools.combinations(may, machine.helpers):
                        options.append(SeatChoice(Seat(slot, machine.key, student), helpers))
        ways.append(options)
    for combination in itertools.product(*ways):
        choices = [choice for choice in combination if choice is not None]
        people = [key for choice in choices for key in (choice.seat.student, *choice.helpers)]
        if len(people) == len(set(people)):
            yield choices
