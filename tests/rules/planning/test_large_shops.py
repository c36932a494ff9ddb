"""A full class in a full shop: the rota against other exact methods, and what the time limit leaves."""

import random
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from machines.planning.facts import GroupChoice, RotaFacts, RotaMoves, SeatChoice
from machines.planning.rules.checks import check_plan, check_rota
from machines.planning.rules.plans import make_plan
from machines.planning.rules.rotas import make_rota
from tests.bench.planning import full_class_plan, full_class_rota

LIMIT = "The search reached its time limit. "
LONG = 60  # seconds: the limit is not what these tests are about


def choices(rota):
    return [SeatChoice(line.seat, line.helpers) for line in rota.lines]


def matching_size(facts: RotaFacts) -> int:
    rows, columns = zip(*facts.cleared, strict=True) if facts.cleared else ((), ())
    shape = (len(facts.students), len(facts.machines))
    graph = csr_array((np.ones(len(rows)), (rows, columns)), shape=shape)
    return int((maximum_bipartite_matching(graph) >= 0).sum())


@pytest.mark.parametrize("share", [0.04, 0.1, 0.5])
def test_full_class_fills_as_many_turns_as_a_maximum_matching(share):
    # Without helpers and with the same students and machines all period, each slot can repeat the best matching.
    facts = full_class_rota(seed=3, cleared=share, helpers=0)
    rota = make_rota(facts, seconds=LONG)
    assert rota.proof.proven
    assert len(rota.lines) == matching_size(facts) * facts.slots


@pytest.mark.parametrize("seed", range(4))
def test_one_slot_is_as_fair_as_the_hungarian_methods_answer(seed):
    facts = replace(full_class_rota(seed=seed, cleared=0.15, helpers=0), slots=1)
    worth = 10_000
    value = np.zeros((len(facts.students), len(facts.machines)))
    for student, machine in facts.cleared:
        value[student, machine] = worth - facts.students[student].minutes
    rows, columns = linear_sum_assignment(value, maximize=True)
    best = value[rows, columns].sum()
    rota = make_rota(facts, seconds=LONG)
    assert sum(value[line.seat.student, line.seat.machine] for line in rota.lines) == best


def test_full_class_with_helpers_is_proven_and_allowed():
    facts = full_class_rota(seed=1)
    rota = make_rota(facts, seconds=LONG)
    assert rota.proof.proven
    assert check_rota(choices(rota), facts) == ()


def test_time_limit_leaves_an_allowed_rota_and_its_possible_gap():
    facts = full_class_rota(seed=1)
    fixed = frozenset(line.seat for line in make_rota(facts, seconds=LONG).lines[:5])
    rota = make_rota(facts, RotaMoves(fixed=fixed), seconds=0)
    assert check_rota(choices(rota), facts) == ()
    assert fixed <= {line.seat for line in rota.lines}
    assert not rota.proof.proven
    assert rota.proof.gap is None
    assert rota.proof.words == LIMIT + (
        "No more turns are possible, but a fairer sharing may be."
        if rota.proof.more == 0
        else f"At most {rota.proof.more} more turns could be filled."
    )
    best = len(make_rota(facts, seconds=LONG).lines)
    assert len(rota.lines) <= best <= len(rota.lines) + rota.proof.more


def test_time_limit_leaves_an_allowed_plan_and_its_possible_gap():
    facts = full_class_plan(seed=1)
    plan, best = make_plan(facts, seconds=0), make_plan(facts, seconds=LONG)
    groups = [GroupChoice(line.demonstration, line.students) for line in plan.lines]
    assert check_plan(groups, facts) == ()
    assert not plan.proof.proven
    assert plan.students <= best.students <= plan.students + plan.proof.more
    assert plan.proof.words == f"{LIMIT}At most {plan.proof.more} more students could get a new machine."
    assert plan.sign_offs > 0


def test_same_facts_give_the_same_rota_and_plan_in_any_order():
    facts, dice = full_class_rota(seed=2), random.Random(5)
    shuffled = list(facts.cleared)
    dice.shuffle(shuffled)
    assert make_rota(facts, seconds=LONG) == make_rota(replace(facts, cleared=frozenset(shuffled)), seconds=LONG)
    assert make_plan(full_class_plan(seed=2), seconds=LONG) == make_plan(full_class_plan(seed=2), seconds=LONG)


def test_more_choices_than_any_shop_has_are_refused_with_a_reason():
    facts = full_class_rota(seed=1)
    with pytest.raises(ValueError, match="plan a smaller class or fewer slots"):
        make_rota(replace(facts, slots=400))


def test_seat_of_a_machine_that_fails_mid_period_is_not_given():
    facts = full_class_rota(seed=1)
    broken = replace(facts.machines[0], slots=frozenset({0, 1}))
    rota = make_rota(replace(facts, machines=(broken, *facts.machines[1:])), seconds=LONG)
    assert not [line for line in rota.lines if line.seat.machine == broken.key and line.seat.slot > 1]
