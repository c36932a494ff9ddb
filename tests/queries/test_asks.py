"""What machines ask for, read as plain rows: the same as the rows that the pages set, saved or only thought of."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db.models import PositiveSmallIntegerField

from machines.clearance.amounts import AMOUNTS
from machines.clearance.facts import ClearedFirst, MachineRequirements, QuizRequirement
from machines.clearance.loading import RequirementTerms, asks_at, prerequisite_row, terms_of
from machines.clearance.records import in_service_life
from machines.models import Machine, MachineKind, Prerequisite, Requirements
from quizzes.models import Acceptance, Bank
from tests.counting import queries
from tests.factories.machines import NOON, Floor, KindFactory, MachineFactory, asks

SECOND = timedelta(seconds=1)
TICK = timedelta(microseconds=1)


def test_default_terms_equal_those_of_a_new_row() -> None:
    assert RequirementTerms() == terms_of(Requirements())


def test_every_number_of_requirements_is_declared_as_an_amount() -> None:
    columns = Requirements._meta.concrete_fields
    assert [field.name for field in columns if isinstance(field, PositiveSmallIntegerField)] == list(AMOUNTS)


def test_a_kind_without_a_row_asks_for_its_own_quiz_or_for_nothing(floor: Floor) -> None:
    with_bank = MachineFactory(shop=floor.cast.shop, kind=KindFactory(school=floor.cast.school), number=31)
    without = MachineFactory(shop=floor.cast.shop, kind=KindFactory(school=floor.cast.school, bank=None), number=32)
    requirements = asks_at(floor.cast.school.pk, NOON).as_facts()
    bank = with_bank.kind.bank
    assert requirements[with_bank.pk].banks == (
        QuizRequirement(bank.pk, bank.subject, requirements[with_bank.pk].banks[0].accepted),
    )
    assert requirements[without.pk].banks == requirements[without.pk].first == ()


def test_loaded_terms_and_things_are_those_that_were_set(floor: Floor) -> None:
    asks(floor.drill, floor.general, floor.saw, floor.drill.bank, agreement=False, refresh_days=9, ends_with="year")
    asks(floor.saw, floor.saw_bank, unused_days=7, demonstration="kind")
    loaded = asks_at(floor.cast.school.pk, NOON)
    for kind in (floor.drill, floor.saw):
        row = (
            Requirements.objects.filter(kind=kind, machine=None, holds_from__lte=NOON)
            .order_by("holds_from", "pk")
            .last()
        )
        things = row.asked.select_related("bank", "kind", "machine__kind").order_by("place")
        for machine in loaded.of_kind(kind.pk):
            assert loaded.asked_by(machine) == (terms_of(row), [prerequisite_row(thing) for thing in things])


def test_machine_is_loaded_from_the_moment_it_came_until_it_left(floor: Floor) -> None:
    came, left = NOON - SECOND, NOON + SECOND
    Machine.objects.filter(pk=floor.saw_2.pk).update(added_at=came, retired_at=left)
    school = floor.cast.school.pk
    loaded = []
    for at in (came - TICK, came, left - TICK, left):
        machines = asks_at(school, at).machines
        in_service = in_service_life(Machine.objects.filter(school=school), at).order_by("number", "pk")
        assert list(machines) == list(in_service.values_list("pk", flat=True))
        loaded.append(floor.saw_2.pk in machines)
    assert loaded == [False, True, True, False]


def test_a_machine_brings_its_kind_without_another_query(floor: Floor) -> None:
    machine = asks_at(floor.cast.school.pk, NOON).machines[floor.saw_2.pk]
    kind = machine.kind
    with queries() as sent:
        values = [kind.name, kind.code, kind.stop, kind.pictogram, kind.bank_id, kind.school_id, machine.spoken]
    assert sent == []
    row = floor.saw_2.kind
    assert values == [row.name, row.code, row.stop, row.pictogram, row.bank_id, row.school_id, floor.saw_2.spoken]
    assert kind.demonstration == row.demonstration  # asked for when it is read


@pytest.mark.parametrize("name", ["", "Old Tom"])
def test_prerequisite_has_its_spoken_name(floor: Floor, name: str) -> None:
    Machine.objects.filter(pk=floor.saw_2.pk).update(name=name)
    saw = Machine.objects.get(pk=floor.saw_2.pk)
    asks(floor.drill, floor.saw, saw)
    requirements = asks_at(floor.cast.school.pk, NOON).as_facts()
    by_kind = tuple(requirements[machine.pk] for machine in (floor.saw_2, floor.saw_3))
    assert requirements[floor.drill_1.pk].first == (
        ClearedFirst(floor.saw.spoken, by_kind),
        ClearedFirst(saw.spoken, by_kind[:1]),
    )


def test_unsaved_change_asks_the_same_as_the_saved_one(floor: Floor) -> None:
    requirements = Requirements(
        school=floor.cast.school, kind=floor.drill, machine=floor.drill_1, agreement=False, unused_days=5,
        holds_from=NOON, set_at=NOON,
    )  # fmt: skip
    things = [
        Prerequisite(bank=floor.general, place=0),
        Prerequisite(kind=floor.saw, place=1),
        Prerequisite(machine=floor.saw_3, place=2),
    ]
    before = asks_at(floor.cast.school.pk, NOON)
    thought = before.with_change(requirements, things).as_facts()
    requirements.save()
    for thing in things:
        thing.requirements = requirements
        thing.save()
    assert before.as_facts() != thought
    assert asks_at(floor.cast.school.pk, NOON).as_facts() == thought
    assert asks_at(floor.cast.school.pk, NOON - SECOND).as_facts() == before.as_facts()


def test_requirements_are_built_once_and_every_change_shows(floor: Floor) -> None:
    school, saw = floor.cast.school.pk, floor.saw_2.pk

    def saw_facts() -> MachineRequirements:
        return asks_at(school, NOON).as_facts()[saw]

    assert saw_facts() is saw_facts()
    accepted = Acceptance.objects.filter(edition__bank=floor.saw_bank)
    changes: list[Callable[[], object]] = [
        lambda: Machine.objects.filter(pk=saw).update(name="Old Tom"),
        lambda: Bank.objects.filter(pk=floor.saw_bank.pk).update(subject="Saws"),
        lambda: MachineKind.objects.filter(pk=floor.saw.pk).update(bank=floor.general),
        lambda: asks(floor.saw, floor.saw_bank, refresh_days=9),
        lambda: accepted.update(taken_back_at=NOON, taken_back_by=floor.cast.teacher, taken_back_reason="Wrong"),
    ]
    for change in changes:
        before = saw_facts()
        change()
        assert saw_facts() != before
        assert asks_at(school, NOON).with_change(Requirements(kind=floor.drill), []).as_facts()[saw] == saw_facts()
