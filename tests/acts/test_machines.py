"""Kinds of machine from the banks that describe them, machines that come into a shop and leave it."""

import json
from datetime import timedelta

from machines.acts.machines import add_machine, load_kinds, retire_machine
from machines.models import Machine, MachineKind
from machines.queries import asked_by_machine, machines_of
from quizzes.models import Bank
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.machines import NOON, BankFactory, Floor

DESCRIBED = {
    "code": "scroll-saw",
    "name": "Scroll saw",
    "stop": "Press the red button.",
    "protect": ["eye"],
    "pre_use": ["Blade whole"],
    "demonstration": ["Sets the hold-down"],
    "tag_out": ["Blade broken"],
    "stop_and_ask": ["the blade jumps"],
    "pictogram": "scroll-saw.svg",
}


def banks(cast: Cast) -> tuple[Bank, Bank]:
    general = BankFactory(school=cast.school, code="general-shop-safety", subject="General shop safety")
    draft = json.dumps({"bank": {"code": "scroll-saw"}, "machine": DESCRIBED})
    return general, BankFactory(school=cast.school, code="scroll-saw", subject="Scroll saw", draft=draft)


def test_each_bank_that_describes_a_machine_gives_a_kind_once(cast: Cast) -> None:
    general, scroll = banks(cast)
    (kind,) = load_kinds(school=cast.school, by=cast.office, at=NOON)
    assert load_kinds(school=cast.school, by=cast.office, at=NOON) == []
    assert (kind.code, kind.bank, kind.demonstration) == ("scroll-saw", scroll, ["Sets the hold-down"])
    machine = add_machine(shop=cast.shop, kind=kind, by=cast.teacher, at=NOON)
    asked = asked_by_machine(cast.school.pk, NOON)[machine.pk]
    assert [bank.bank for bank in asked.banks] == [general.pk, scroll.pk]
    assert len(entries("kind.added")) == 1


def test_what_the_shop_changed_is_not_overwritten(cast: Cast) -> None:
    banks(cast)
    (kind,) = load_kinds(school=cast.school, by=None, at=NOON)
    MachineKind.objects.filter(pk=kind.pk).update(stop="Press the paddle.")
    load_kinds(school=cast.school, by=None, at=NOON)
    assert MachineKind.objects.get().stop == "Press the paddle."


def test_a_machine_gets_the_next_number_and_no_number_stands_twice(floor: Floor) -> None:
    made = add_machine(shop=floor.cast.shop, kind=floor.saw, by=floor.cast.teacher, at=NOON)
    assert (made.number, made.spoken) == (4, "band saw 4")
    again = {"shop": floor.cast.shop, "kind": floor.saw, "by": floor.cast.teacher, "at": NOON, "number": 4}
    assert code_of(add_machine, **again) == "machine.number-taken"


def test_a_retired_machine_is_gone_from_then_on_and_its_number_is_free(floor: Floor) -> None:
    retire_machine(machine=floor.saw_2, by=floor.cast.teacher, at=NOON)
    assert floor.saw_2 in machines_of(floor.cast.shop.pk, NOON - timedelta(seconds=1))
    assert floor.saw_2 not in machines_of(floor.cast.shop.pk, NOON)
    assert code_of(retire_machine, machine=floor.saw_2, by=floor.cast.teacher, at=NOON) == "machine.retired"
    add_machine(shop=floor.cast.shop, kind=floor.saw, by=floor.cast.teacher, at=NOON, number=2)


def test_nobody_else_sets_machines_up(floor: Floor) -> None:
    before = Machine.objects.count()
    for person in floor.cast.not_teachers:
        if person == floor.cast.office:
            continue
        new = {"shop": floor.cast.shop, "kind": floor.saw, "by": person, "at": NOON}
        assert code_of(add_machine, **new) == "access.not-yours", person
        assert code_of(retire_machine, machine=floor.saw_2, by=person, at=NOON) == "access.not-yours", person
    assert code_of(load_kinds, school=floor.cast.school, by=floor.cast.student, at=NOON) == "access.not-yours"
    assert code_of(load_kinds, school=floor.cast.school, by=floor.cast.stranger_teacher, at=NOON) == "machine.elsewhere"
    assert Machine.objects.count() == before
