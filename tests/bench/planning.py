"""Time of the plan and the rota for a full class in a full shop: 36 students, 16 machines, 4 slots, 40 minutes.

    python -m tests.bench.planning [--rounds 5]

Prints one JSON object, in seconds: the median and the longest of all rounds, each round with another class. The import
of the solver, once in a process, is shown apart. "unproven" counts the rounds that the time limit ended.
"""

import argparse
import json
import random
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

from machines.planning.facts import (
    Demonstration,
    DemonstrationPlan,
    PlanFacts,
    PlanStudent,
    Readiness,
    Rota,
    RotaFacts,
    RotaMachine,
    RotaStudent,
)

STUDENTS, MACHINES, SLOTS, MINUTES = 36, 16, 4, 40


def full_class_rota(seed: int, cleared: float = 0.6, helpers: int = 4) -> RotaFacts:
    """A class in which each student is cleared on that share of the machines; the first machines ask for a helper."""
    dice = random.Random(seed)
    pairs = [(s, m) for s in range(STUDENTS) for m in range(MACHINES)]
    may_run = frozenset(pair for pair in pairs if dice.random() < cleared)
    return RotaFacts(
        slots=SLOTS,
        slot_minutes=10,
        students=tuple(RotaStudent(s, f"Student {s}", dice.randrange(0, 300, 5)) for s in range(STUDENTS)),
        machines=tuple(RotaMachine(m, f"machine {m}", helpers=int(m < helpers)) for m in range(MACHINES)),
        cleared=may_run,
        may_help=frozenset(pair for pair in pairs if pair[1] < helpers and (pair in may_run or dice.random() < 0.3)),
        minutes_at={pair: dice.randrange(0, 60, 5) for pair in pairs if pair in may_run},
    )


def full_class_plan(seed: int, ready: float = 0.3, each: int = 1) -> PlanFacts:
    """A class in which each student is ready for that share of the machines, some of them only after another."""
    dice = random.Random(seed)
    machines = tuple(
        Demonstration(m, f"machine {m}", dice.choice([4, 5, 6, 8, 10, 12]), each, dice.choice([1, 3, 4, 6]))
        for m in range(MACHINES)
    )
    readiness = []
    for student in range(STUDENTS):
        for machine in range(MACHINES):
            if dice.random() < ready:
                first = machine >= 8 and dice.random() < 0.6
                readiness.append(Readiness(student, machine, ((machine - 8,),) if first else ()))
    students = tuple(PlanStudent(s, f"Student {s}", dice.randrange(4)) for s in range(STUDENTS))
    return PlanFacts(MINUTES, students, machines, tuple(readiness))


def measured(make: Callable[[int], DemonstrationPlan | Rota], rounds: int) -> dict[str, Any]:
    seconds, unproven = [], 0
    for seed in range(rounds):
        start = time.perf_counter()
        unproven += not make(seed).proof.proven
        seconds.append(time.perf_counter() - start)
    return {"median": round(statistics.median(seconds), 3), "longest": round(max(seconds), 3), "unproven": unproven}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds
    start = time.perf_counter()
    import scipy.optimize  # noqa: F401  (measured apart: once in a process)

    imported = time.perf_counter() - start
    from machines.planning.rules.plans import make_plan
    from machines.planning.rules.rotas import make_rota

    figures: dict[str, Any] = {"students": STUDENTS, "machines": MACHINES, "slots": SLOTS, "rounds": rounds}
    figures["import of the solver"] = round(imported, 3)
    for share in (0.2, 0.6, 0.9):
        for helpers in (0, 4):
            name = f"rota, {share:.0%} cleared, {helpers} machines with a helper"
            figures[name] = measured(lambda seed, s=share, h=helpers: make_rota(full_class_rota(seed, s, h)), rounds)
    for share in (0.1, 0.3, 0.7):
        for each in (0, 1):
            name = f"plan of {MINUTES} minutes, {share:.0%} ready, {each} minutes a student besides"
            figures[name] = measured(lambda seed, s=share, e=each: make_plan(full_class_plan(seed, s, e)), rounds)
    print(json.dumps(figures, indent=1))
    return 0


if __name__ == "__main__":
    sys.exit(main())
