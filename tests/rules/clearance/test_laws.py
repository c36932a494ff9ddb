"""The laws of clearance: what must be true of every student, every machine and every moment."""

from dataclasses import replace
from datetime import timedelta

from hypothesis import assume, event, given
from hypothesis import strategies as st

from machines.clearance.facts import HoldFact, NextActor, Standing, StatusOnly, StudentRecord
from machines.clearance.rules.evaluation import briefs, evaluate, evaluate_all, may_be_signed_off, standings
from tests.rules.clearance.cases import BANKS, FAR, MACHINES, cleared_worlds, moments, worlds
from tests.rules.clearance.model import model

TICK = timedelta(microseconds=1)
WORLDS = worlds() | cleared_worlds()


@given(WORLDS)
def test_agrees_with_the_short_model(world):
    requirements, evidence, at = world
    answer = evaluate(requirements, evidence, at)
    event(answer.standing)
    assert answer.standing == model(requirements, evidence, at)


@given(WORLDS)
def test_is_cleared_exactly_when_no_reason_is_left(world):
    answer = evaluate(*world)
    assert answer.cleared == (answer.reasons == ())
    assert answer.cleared or answer.ending is None
    assert all(reason.sentence and reason.code and reason.link and reason.who in NextActor for reason in answer.reasons)


@given(WORLDS)
def test_no_one_is_cleared_without_a_teachers_sign_off_that_stands(world):
    requirements, evidence, at = world
    if evaluate(requirements, evidence, at).cleared:
        assert any(
            s.kind == requirements.kind and s.at <= at and (s.gone_at is None or at < s.gone_at)
            for s in evidence.sign_offs
        )


@given(WORLDS, st.data())
def test_a_hold_never_helps(world, data):
    requirements, evidence, at = world
    covers = data.draw(st.none() | st.frozensets(st.sampled_from(MACHINES)))
    hold = HoldFact(data.draw(moments(evidence.zone)), covers, "", "", "Ms F", ref="extra")
    before = evaluate(requirements, evidence, at)
    after = evaluate(requirements, replace(evidence, holds=(*evidence.holds, hold)), at)
    assert after.standing in (before.standing, Standing.ON_HOLD) or (before.cleared and not after.cleared)
    if hold.placed_at <= at and (covers is None or requirements.machine in covers):
        assert after.standing is Standing.ON_HOLD
    assert not (may_be_signed_off(after) and not may_be_signed_off(before)) or before.cleared


@given(WORLDS, st.randoms(use_true_random=False))
def test_the_order_of_the_records_does_not_matter(world, dice):
    requirements, evidence, at = world
    fields = ("passes", "tries", "documents", "sign_offs", "uses", "holds")
    mixed = replace(
        evidence, **{f: tuple(dice.sample(getattr(evidence, f), len(getattr(evidence, f)))) for f in fields}
    )
    assert evaluate(requirements, mixed, at) == evaluate(requirements, evidence, at)


@given(WORLDS)
def test_later_events_do_not_change_an_earlier_status(world):
    requirements, evidence, at = world

    def gone(moment):
        return moment if moment is not None and moment <= at else None

    as_it_was = replace(
        evidence,
        passes=tuple(p._replace(gone_at=gone(p.gone_at)) for p in evidence.passes if p.at <= at),
        tries=tuple(t for t in evidence.tries if t.at <= at),
        documents=tuple(replace(a, gone_at=gone(a.gone_at)) for a in evidence.documents if a.recorded_at <= at),
        sign_offs=tuple(s._replace(gone_at=gone(s.gone_at)) for s in evidence.sign_offs if s.at <= at),
        uses=tuple(u for u in evidence.uses if u.at <= at),
        holds=tuple(replace(h, lifted_at=gone(h.lifted_at)) for h in evidence.holds if h.placed_at <= at),
    )
    assert evaluate(requirements, as_it_was, at) == evaluate(requirements, evidence, at)


@given(WORLDS)
def test_records_about_other_machines_and_banks_do_not_matter(world):
    requirements, evidence, at = world
    everything = (requirements, *(other for first in requirements.first for other in first.one_of))
    banks = {b.bank for r in everything for b in r.banks} | {r.own_bank for r in everything}
    kinds, machines = {r.kind for r in everything}, {r.machine for r in everything}
    about = replace(
        evidence,
        passes=tuple(p for p in evidence.passes if p.bank in banks),
        tries=tuple(t for t in evidence.tries if t.bank in banks),
        sign_offs=tuple(s for s in evidence.sign_offs if s.kind in kinds),
        uses=tuple(u for u in evidence.uses if u.kind in kinds),
        holds=tuple(h for h in evidence.holds if h.machines is None or h.machines & machines),
    )
    assert evaluate(requirements, about, at) == evaluate(requirements, evidence, at)


@given(cleared_worlds())
def test_student_who_met_every_requirement_is_cleared(world):
    requirements, evidence, at = world
    assume(all(first.one_of for first in requirements.first))
    assert evaluate(requirements, evidence, at).cleared


@given(WORLDS)
def test_clearance_lasts_exactly_to_its_announced_end(world):
    requirements, evidence, at = world
    quiet = StudentRecord(
        evidence.zone,
        tuple(p for p in evidence.passes if p.at <= at and p.gone_at is None),
        (),
        evidence.documents,
        tuple(s for s in evidence.sign_offs if s.at <= at and s.gone_at is None),
    )
    quiet = replace(quiet, documents=tuple(a for a in quiet.documents if a.recorded_at <= at and a.gone_at is None))
    answer = evaluate(requirements, quiet, at)
    assume(answer.cleared)
    if answer.ending is None:
        assert evaluate(requirements, quiet, FAR).cleared
    else:
        assert answer.ending.at > at
        assert evaluate(requirements, quiet, answer.ending.at - TICK).cleared
        # A machine asked first may be cleared again at that moment by an agreement that begins then.
        assert requirements.first or not evaluate(requirements, quiet, answer.ending.at).cleared


@given(WORLDS, st.sampled_from(BANKS))
def test_one_machine_or_many_the_answer_is_the_same(world, bank):
    requirements, evidence, at = world
    machines = {r.machine: r for f in requirements.first for r in f.one_of} | {requirements.machine: requirements}
    together = evaluate_all(machines.values(), evidence, at)
    assert together == {machine: evaluate(r, evidence, at) for machine, r in machines.items()}
    assert standings(machines.values(), evidence, at) == {m: answer.standing for m, answer in together.items()}
    assert briefs(machines.values(), evidence, at) == {
        m: StatusOnly(answer.standing, may_be_signed_off(answer), answer.ending) for m, answer in together.items()
    }
