"""What goes wrong in any shop: holds, a sign-off withdrawn, days run out, a machine tagged out, a code forgotten."""

from typing import TYPE_CHECKING
from uuid import uuid4

from machines.demo.days import Lived
from machines.holds.acts import lift_hold, place_hold
from machines.holds.queries import rules_now
from machines.models import MachineKind, Requirements, SignOff
from machines.setting_up.acts.requirements import set_requirements
from machines.sign_offs.acts import withdraw_sign_off
from machines.tag_outs.acts import tag_out
from quizzes.models import Bank
from shopsafe.school.models import Person
from shopsafe.school.people.queries import students_of
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.acts import sign_in
from shopsafe.school.signing_in.codes.devices import digest_of
from shopsafe.school.signing_in.rules.wrong_codes import DEVICE_TRIES

if TYPE_CHECKING:
    from machines.demo.build import Demo

REFRESH = {"spindle-sander": 21}  # kind → days until a refresher is due in this shop

FIRST = {"table-saw": "band-saw", "router-table": "drill-press"}  # kind → the kind that comes first


def troubles(demo: "Demo") -> list[Lived]:
    return [
        _refreshers(demo),
        _horseplay(demo),
        _misuse(demo),
        _dress(demo),
        _withdrawal(demo),
        _tag_out(demo),
        _forgotten_code(demo),
    ]


def _refreshers(demo: "Demo") -> Lived:
    """One kind asks for a refresher: early clearances have expired. A machine to come asks for another."""
    at, school = demo.ago(14), demo.office.school
    yield at
    for code, first in FIRST.items():
        kind = MachineKind.objects.get(school=school, code=code)
        first_kind = MachineKind.objects.get(school=school, code=first)
        requirements = Requirements(kind=kind, holds_from=at)
        things: list[Bank | MachineKind] = [kind.bank, first_kind] if kind.bank else [first_kind]
        set_requirements(wanted=requirements, asked=things, by=demo.staff["ferrant"], at=at)
    for code, days in REFRESH.items():
        kind = MachineKind.objects.get(school=demo.office.school, code=code)
        requirements = Requirements(kind=kind, refresh_days=days, holds_from=at)
        asked = Bank.objects.filter(school=demo.office.school, code__in=["general-shop-safety", code]).order_by("pk")
        set_requirements(wanted=requirements, asked=list(asked), by=demo.staff["ferrant"], at=at)


def _class(demo: "Demo", number: int) -> list[Person]:
    return list(students_of(demo.sections[number]))


def _horseplay(demo: "Demo") -> Lived:
    student, at = _class(demo, 0)[5], demo.ago(1, 95)
    yield at
    place_hold(
        student=student,
        machines=None,
        reason="horseplay",
        lifts="talk",
        words="Threw scraps across the room.",
        by=demo.staff["ferrant"],
        tap=uuid4(),
        at=at,
    )


def _misuse(demo: "Demo") -> Lived:
    student, at = _class(demo, 2)[2], demo.ago(3, 40)
    yield at
    saw = MachineKind.objects.get(school=demo.office.school, code="band-saw").bank
    text = rules_now(saw, at) if saw else None
    place_hold(
        student=student,
        machines=[machine for machine in demo.machines if machine.kind.code == "band-saw"],
        reason="misuse",
        lifts="rules",
        bank=saw,
        rules=[rule.code for rule in text.live_rules[:2]] if text else [],
        words="Hand in line with the blade, twice.",
        by=demo.staff["quarles"],
        tap=uuid4(),
        at=at,
    )


def _dress(demo: "Demo") -> Lived:
    """A hold that a talk has lifted."""
    student, ferrant, at = _class(demo, 0)[9], demo.staff["ferrant"], demo.ago(12, 10)
    yield at
    hold = place_hold(student=student, machines=None, reason="dress", lifts="talk", by=ferrant, tap=uuid4(), at=at)
    at = demo.ago(11, 35)  # later also where both days fall on the Friday before a weekend
    yield at
    lift_hold(hold=hold, by=ferrant, words="Came with closed shoes.", at=at)


def _withdrawal(demo: "Demo") -> Lived:
    at = demo.ago(2, 240)
    yield at
    signed = SignOff.objects.filter(school=demo.office.school, machine=demo.machines[0]).order_by("at", "pk").first()
    if signed is not None:
        reason = "Left the chuck key in the chuck. Shows it again."
        withdraw_sign_off(sign_off=signed, by=signed.by, reason=reason, at=at)


def _tag_out(demo: "Demo") -> Lived:
    at = demo.ago(1, 120)
    yield at
    machine = next(candidate for candidate in demo.machines if candidate.number == 5)
    tag_out(
        machine=machine,
        reason="The hold-down foot is cracked.",
        by=demo.staff["quarles"],
        tap=uuid4(),
        at=at,
    )


def _forgotten_code(demo: "Demo") -> Lived:
    at = demo.ago(1, 30)
    yield at
    student = _class(demo, 1)[-1]
    for _ in range(DEVICE_TRIES):
        try:
            sign_in(name=student.sign_in_name, code="AAAA-AAAA", device=digest_of("laptop 3"), at=at)
        except Refused:
            continue
