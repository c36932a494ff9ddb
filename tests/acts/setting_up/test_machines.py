"""Kinds of machine from the banks that describe them, machines that come into a shop and leave it."""

import json
from datetime import timedelta
from uuid import uuid4

from machines.clearance.loading import asked_by_machine
from machines.clearance.queries import machines_of
from machines.models import Machine, MachineKind
from machines.setting_up.acts.kinds import HelperNeed, add_kind, change_kind, load_kinds
from machines.setting_up.acts.machines import NewMachine, add_machine, add_machines, rename_machine, retire_machine
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from quizzes.models import Bank
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.machines import NOON, POINTS, BankFactory, Floor

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


def test_changed_machine_type_is_not_overwritten(cast: Cast) -> None:
    banks(cast)
    (kind,) = load_kinds(school=cast.school, by=None, at=NOON)
    MachineKind.objects.filter(pk=kind.pk).update(stop="Press the paddle.")
    load_kinds(school=cast.school, by=None, at=NOON)
    assert MachineKind.objects.get().stop == "Press the paddle."


def test_a_machine_gets_the_next_number_and_no_number_stands_twice(floor: Floor) -> None:
    machine = add_machine(shop=floor.cast.shop, kind=floor.saw, by=floor.cast.teacher, at=NOON)
    assert (machine.number, machine.spoken) == (4, "band saw 4")
    again = {"shop": floor.cast.shop, "kind": floor.saw, "by": floor.cast.teacher, "at": NOON, "number": 4}
    assert code_of(add_machine, **again) == "machine.number-taken"


def test_retired_machine_leaves_the_shop_and_frees_its_number(floor: Floor) -> None:
    retire_machine(machine=floor.saw_2, by=floor.cast.teacher, at=NOON)
    assert floor.saw_2 in machines_of(floor.cast.shop.pk, NOON - timedelta(seconds=1))
    assert floor.saw_2 not in machines_of(floor.cast.shop.pk, NOON)
    assert code_of(retire_machine, machine=floor.saw_2, by=floor.cast.teacher, at=NOON) == "machine.retired"
    add_machine(shop=floor.cast.shop, kind=floor.saw, by=floor.cast.teacher, at=NOON, number=2)


def test_no_one_else_sets_machines_up(floor: Floor) -> None:
    before = Machine.objects.count()
    for person in floor.cast.not_teachers:
        if person == floor.cast.office:
            continue
        new = {"shop": floor.cast.shop, "kind": floor.saw, "by": person, "at": NOON}
        assert code_of(add_machine, **new) == "access.not-yours", person
        several = {"shop": floor.cast.shop, "wanted": [NewMachine(floor.saw, 9)], "by": person, "at": NOON}
        assert code_of(add_machines, **several) == "access.not-yours", person
        assert code_of(retire_machine, machine=floor.saw_2, by=person, at=NOON) == "access.not-yours", person
        named = {"machine": floor.saw_2, "number": 9, "name": "", "by": person, "at": NOON}
        assert code_of(rename_machine, **named) == "access.not-yours", person
    assert code_of(load_kinds, school=floor.cast.school, by=floor.cast.student, at=NOON) == "access.not-yours"
    assert code_of(load_kinds, school=floor.cast.school, by=floor.cast.stranger_teacher, at=NOON) == "machine.elsewhere"
    assert Machine.objects.count() == before


def test_several_come_all_or_none(floor: Floor) -> None:
    shop, teacher = floor.cast.shop, floor.cast.teacher
    new_machines = [NewMachine(floor.saw, 7), NewMachine(floor.drill, 8, " The old one ")]
    machines = add_machines(shop=shop, wanted=new_machines, by=teacher, at=NOON)
    assert [str(machine) for machine in machines] == ["Band saw 7", "The old one 8"]
    assert len(entries("machine.added")) == 2
    before = Machine.objects.count()
    for numbers, code in (
        ((9, 9), "machine.number-taken"),
        ((9, 7), "machine.number-taken"),
        ((9, 0), "machine.number"),
    ):
        again = [NewMachine(floor.saw, number) for number in numbers]
        assert code_of(add_machines, shop=shop, wanted=again, by=teacher, at=NOON) == code
    assert code_of(add_machines, shop=shop, wanted=[], by=teacher, at=NOON) == "machine.none"
    elsewhere = [NewMachine(floor.far_saw.kind, 20)]
    assert code_of(add_machines, shop=shop, wanted=elsewhere, by=teacher, at=NOON) == "machine.elsewhere"
    assert Machine.objects.count() == before


def test_renamed_machine_is_recorded_with_both_names(floor: Floor) -> None:
    again = {"machine": floor.saw_2, "by": floor.cast.teacher, "at": NOON}
    done = rename_machine(number=12, name="The tall one", **again)
    assert str(done) == "The tall one 12"
    rename_machine(number=12, name="The tall one", **again)
    (entry,) = entries("machine.renamed")
    assert '"before":"Band saw 2"' in entry
    assert '"name":"The tall one 12","own_name":true' in entry
    assert code_of(rename_machine, number=3, name="", **again) == "machine.number-taken"
    assert code_of(rename_machine, number=1000, name="", **again) == "machine.number"
    retire_machine(**again)
    assert code_of(rename_machine, number=2, name="", **again) == "machine.retired"


def test_no_one_is_signed_off_on_a_machine_that_has_left(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    retired = retire_machine(machine=floor.saw_2, by=floor.cast.teacher, at=NOON)
    sign = {
        "student": floor.cast.student,
        "machine": retired,
        "by": floor.cast.teacher,
        "ticked": POINTS,
        "tap": uuid4(),
    }
    assert code_of(sign_off, **sign, at=NOON) == "sign-off.retired"
    arguments = {"machine": retired, "reason": "Blade cracked", "by": floor.cast.teacher, "tap": uuid4(), "at": NOON}
    assert code_of(tag_out, **arguments) == "tag-out.retired"


def test_a_teacher_describes_a_kind_for_a_bank_that_has_none(cast: Cast) -> None:
    general, _ = banks(cast)
    own = BankFactory(school=cast.school, code="box-jig", subject="Box joint jig")
    lists = {"demonstration": ["Sets the key"], "pre_use": ["Key tight"]}
    new = {"bank": own, "name": "Box joint jig", "stop": "Press stop.", "lists": lists, "at": NOON}
    assert code_of(add_kind, **(new | {"lists": {}}), by=cast.teacher) == "kind.incomplete"
    kind = add_kind(**new, by=cast.teacher)
    assert (kind.code, kind.demonstration, kind.tag_out) == ("box-joint-jig", ["Sets the key"], [])
    machine = add_machine(shop=cast.shop, kind=kind, by=cast.teacher, at=NOON)
    assert [bank.bank for bank in asked_by_machine(cast.school.pk, NOON)[machine.pk].banks] == [general.pk, own.pk]
    assert code_of(add_kind, **new, by=cast.teacher) == "kind.there"
    assert code_of(add_kind, **new, by=cast.student) == "access.not-yours"
    assert code_of(add_kind, **new, by=cast.stranger_teacher) == "machine.elsewhere"


def test_a_kind_says_which_helpers_a_run_needs(floor: Floor) -> None:
    lists = {"demonstration": ["Sets the guard"]}
    new = {"kind": floor.saw, "name": "Band saw", "stop": "Press stop.", "lists": lists, "by": floor.cast.teacher}
    done = change_kind(**new, helper=HelperNeed(1, "outfeed", cleared=False), at=NOON)
    assert (done.helpers, done.helper_role, done.helper_cleared) == (1, "outfeed", False)
    assert change_kind(**new, at=NOON).helpers == 1, "a page without the question changes nothing"
    assert code_of(change_kind, **new, helper=HelperNeed(5), at=NOON) == "kind.helpers"
    assert change_kind(**new, helper=HelperNeed(0, "outfeed"), at=NOON).helper_role == ""


def test_a_teacher_of_a_shop_that_has_one_says_how_a_kind_is_used(floor: Floor) -> None:
    lists = {"demonstration": ["Sets the guard", "Stands aside"], "protect": ["eye"]}
    new = {"kind": floor.saw, "name": "Band saw", "stop": "Press the red button.", "lists": lists, "at": NOON}
    assert code_of(change_kind, **(new | {"stop": " "}), by=floor.cast.teacher) == "kind.incomplete"
    done = change_kind(**new, by=floor.cast.teacher)
    assert (done.stop, done.demonstration, done.pre_use) == ("Press the red button.", lists["demonstration"], [])
    change_kind(**new, by=floor.cast.teacher)
    (entry,) = entries("kind.changed")
    assert "Push the stop paddle." in entry, "what stood before is kept"
    for person in (floor.cast.student, floor.cast.substitute, floor.cast.other_teacher):
        assert code_of(change_kind, **new, by=person) == "access.not-yours"
    assert code_of(change_kind, **new, by=floor.cast.stranger_teacher) == "machine.elsewhere"
