"""What machines ask for, read as plain rows: the same as the rows that the pages set, saved or only thought of."""

from datetime import timedelta

import pytest

from machines.clearance.facts import ClearedFirst, QuizRequirement
from machines.clearance.loading import RequirementTerms, asks_at
from machines.clearance.plan import plan_at
from machines.models import Machine, Prerequisite, Requirements
from tests.counting import queries
from tests.factories.machines import NOON, Floor, KindFactory, MachineFactory, asks

SECOND = timedelta(seconds=1)
TICK = timedelta(microseconds=1)


def test_where_nobody_has_set_anything_the_terms_are_those_of_a_new_row() -> None:
    row = Requirements()
    assert RequirementTerms() == RequirementTerms(**{name: getattr(row, name) for name in RequirementTerms._fields})


def test_a_kind_without_a_row_asks_for_its_own_quiz_or_for_nothing(floor: Floor) -> None:
    with_bank = MachineFactory(shop=floor.cast.shop, kind=KindFactory(school=floor.cast.school), number=31)
    without = MachineFactory(shop=floor.cast.shop, kind=KindFactory(school=floor.cast.school, bank=None), number=32)
    found = asks_at(floor.cast.school.pk, NOON).as_facts()
    bank = with_bank.kind.bank
    assert found[with_bank.pk].banks == (QuizRequirement(bank.pk, bank.subject, found[with_bank.pk].banks[0].accepted),)
    assert found[without.pk].banks == found[without.pk].first == ()


def test_every_machine_is_asked_for_the_same_things_in_the_same_order_as_on_the_pages(floor: Floor) -> None:
    asks(floor.drill, floor.general, floor.saw, floor.drill.bank, agreement=False, refresh_days=9, ends_with="year")
    asks(floor.saw, floor.saw_bank, unused_days=7, demonstration="kind")
    plan, plain = plan_at(floor.cast.school.pk, NOON), asks_at(floor.cast.school.pk, NOON)
    assert list(plain.machines) == list(plan.machines)
    for machine in plan.machines.values():
        row, things = plan.asked_by(machine)
        terms, plainly = plain.asked_by(machine)
        assert terms == RequirementTerms(**{name: getattr(row, name) for name in RequirementTerms._fields})
        assert [(one.bank_id, one.kind_id, one.machine_id) for one in plainly] == [
            (one.bank_id, one.kind_id, one.machine_id) for one in things
        ]


def test_a_machine_is_there_from_the_moment_it_came_to_the_moment_it_left_as_on_the_pages(floor: Floor) -> None:
    came, left = NOON - SECOND, NOON + SECOND
    Machine.objects.filter(pk=floor.saw_2.pk).update(added_at=came, retired_at=left)
    school, found = floor.cast.school.pk, []
    for at in (came - TICK, came, left - TICK, left):
        plain = asks_at(school, at).machines
        assert list(plain) == list(plan_at(school, at).machines)
        found.append(floor.saw_2.pk in plain)
    assert found == [False, True, True, False]


def test_a_machine_brings_its_kind_without_another_query(floor: Floor) -> None:
    machine = asks_at(floor.cast.school.pk, NOON).machines[floor.saw_2.pk]
    kind = machine.kind
    with queries() as sent:
        said = [kind.name, kind.code, kind.stop, kind.pictogram, kind.bank_id, kind.school_id, machine.spoken]
    assert sent == []
    row = floor.saw_2.kind
    assert said == [row.name, row.code, row.stop, row.pictogram, row.bank_id, row.school_id, floor.saw_2.spoken]
    assert kind.demonstration == row.demonstration  # asked for when it is read


@pytest.mark.parametrize("name", ["", "Old Tom"])
def test_what_comes_first_is_called_as_it_is_spoken_of(floor: Floor, name: str) -> None:
    Machine.objects.filter(pk=floor.saw_2.pk).update(name=name)
    saw = Machine.objects.get(pk=floor.saw_2.pk)
    asks(floor.drill, floor.saw, saw)
    found = asks_at(floor.cast.school.pk, NOON).as_facts()
    by_kind = tuple(found[one.pk] for one in (floor.saw_2, floor.saw_3))
    assert found[floor.drill_1.pk].first == (
        ClearedFirst(floor.saw.spoken, by_kind),
        ClearedFirst(saw.spoken, by_kind[:1]),
    )


def test_a_change_that_is_only_thought_of_asks_what_it_asks_once_saved(floor: Floor) -> None:
    wanted = Requirements(
        school=floor.cast.school, kind=floor.drill, machine=floor.drill_1, agreement=False, unused_days=5,
        holds_from=NOON, set_at=NOON,
    )  # fmt: skip
    things = [
        Prerequisite(bank=floor.general, place=0),
        Prerequisite(kind=floor.saw, place=1),
        Prerequisite(machine=floor.saw_3, place=2),
    ]
    before = asks_at(floor.cast.school.pk, NOON)
    thought = before.with_change(wanted, things).as_facts()
    wanted.save()
    for thing in things:
        thing.requirements = wanted
        thing.save()
    assert before.as_facts() != thought
    assert asks_at(floor.cast.school.pk, NOON).as_facts() == thought
    assert asks_at(floor.cast.school.pk, NOON - SECOND).as_facts() == before.as_facts()
