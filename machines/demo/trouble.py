"""What goes wrong in any shop: holds, a sign-off withdrawn, days run out, a machine tagged out, a code forgotten."""

from datetime import timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from machines.acts.holds import lift_hold, place_hold
from machines.acts.requirements import set_requirements
from machines.acts.sign_offs import withdraw_sign_off
from machines.acts.tag_outs import tag_out
from machines.models import MachineKind, Requirements, SignOff
from quizzes.models import Bank
from shopsafe.school.acts.signing_in import MISSES_ALLOWED, sign_in
from shopsafe.school.models import Person
from shopsafe.school.queries import students_of
from shopsafe.school.refusals import Refused

if TYPE_CHECKING:
    from machines.demo.build import Demo

REFRESH = {"spindle-sander": 21}  # kind → days until a refresher is due in this shop


def trouble(demo: "Demo") -> None:
    _refreshers(demo)
    _holds(demo)
    _withdrawal(demo)
    _tag_out(demo)
    _forgotten_code(demo)


def _refreshers(demo: "Demo") -> None:
    """One kind asks for a refresher: whoever was signed off early on has lapsed."""
    at = demo.ago(14)
    for code, days in REFRESH.items():
        kind = MachineKind.objects.get(school=demo.office.school, code=code)
        wanted = Requirements(kind=kind, refresh_days=days, holds_from=at)
        asked = Bank.objects.filter(school=demo.office.school, code__in=["general-shop-safety", code]).order_by("pk")
        set_requirements(wanted=wanted, asked=list(asked), by=demo.staff["ferrant"], at=at)


def _class(demo: "Demo", number: int) -> list[Person]:
    return list(students_of(demo.sections[number]))


def _holds(demo: "Demo") -> None:
    """One left the shop for horseplay, one may not use the saws, and one hold was lifted after a talk."""
    teak, maple = _class(demo, 0), _class(demo, 2)
    saws = [machine for machine in demo.machines if machine.kind.code == "band-saw"]
    ferrant, quarles = demo.staff["ferrant"], demo.staff["quarles"]
    place_hold(
        student=teak[5],
        machines=None,
        reason="horseplay",
        lifts="talk",
        words="Threw scraps across the room.",
        by=ferrant,
        tap=uuid4(),
        at=demo.ago(1, 95),
    )
    place_hold(
        student=maple[2],
        machines=saws,
        reason="misuse",
        lifts="rules",
        lifts_words="Where the hands go at the band saw.",
        words="Hand in line with the blade, twice.",
        by=quarles,
        tap=uuid4(),
        at=demo.ago(3, 40),
    )
    lifted = place_hold(
        student=teak[9], machines=None, reason="dress", lifts="talk", by=ferrant, tap=uuid4(), at=demo.ago(12, 10)
    )
    lift_hold(hold=lifted, by=ferrant, words="Came with closed shoes.", at=demo.ago(11, 5))


def _withdrawal(demo: "Demo") -> None:
    signed = SignOff.objects.filter(school=demo.office.school, machine=demo.machines[0]).order_by("-at", "pk").first()
    if signed is not None:
        reason = "Left the chuck key in the chuck. Shows it again."
        withdraw_sign_off(
            sign_off=signed, by=signed.by, reason=reason, at=max(demo.ago(1, 60), signed.at + timedelta(hours=1))
        )


def _tag_out(demo: "Demo") -> None:
    machine = next(one for one in demo.machines if one.number == 5)
    tag_out(
        machine=machine,
        reason="The hold-down foot is cracked.",
        by=demo.staff["quarles"],
        tap=uuid4(),
        at=demo.ago(1, 120),
    )


def _forgotten_code(demo: "Demo") -> None:
    student = _class(demo, 1)[-1]
    for _ in range(MISSES_ALLOWED):
        try:
            sign_in(name=student.sign_in_name, code="AAAA-AAAA", at=demo.ago(1, 30))
        except Refused:
            continue
