"""A school whose every record was made by acts, for the tests of what a forger may do to them."""

from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from machines.holds.acts import learn_held_rule, lift_hold, place_hold
from machines.models import Hold, Machine, MachineKind, Requirements, SignOff, TagOut
from machines.setting_up.acts.kinds import add_kind
from machines.setting_up.acts.machines import NewMachine, add_machines
from machines.setting_up.acts.requirements import set_requirements
from machines.sign_offs.acts import sign_off, undo_sign_off, withdraw_sign_off
from machines.tag_outs.acts import return_to_service, tag_out
from quizzes.attempts.acts import void_attempt
from quizzes.banks.editions.acts import accept_bank, take_back_acceptance
from quizzes.models import Attempt, Bank
from shopsafe.school.people.acts.students import record_agreement, take_back_agreement
from tests.cast import Cast, make_cast
from tests.factories.banks import AT, DAY, MINUTE, bank_text, learn, published, take
from tests.factories.kept import kept

SHOWN = ["Sets the guard", "Keeps both hands in sight"]


@dataclass
class Recorded:
    """What stands on record once everything has happened once."""

    cast: Cast
    bank: Bank
    kind: MachineKind
    saw: Machine
    second_saw: Machine
    missed: Attempt
    passed: Attempt
    voided: Attempt
    sign_off: SignOff
    undone: SignOff
    withdrawn: SignOff
    hold: Hold
    lifted: Hold
    tag_out: TagOut
    returned: TagOut
    requirements: Requirements


def tap(number: int) -> UUID:
    return UUID(int=number)


@kept
def make_records() -> Recorded:
    cast = make_cast()
    teacher, student, classmate = cast.teacher, cast.student, cast.classmate
    bank = published(teacher, bank_text(rules=1, ask=1), AT - 2 * DAY)
    take_back_acceptance(by=teacher, bank=bank.pk, reason="Read again", at=AT - DAY)
    accept_bank(by=teacher, bank=bank.pk, edition=1, at=AT - DAY + MINUTE)
    lists = {"demonstration": SHOWN}
    kind = add_kind(bank=bank, name="Band saw", stop="Push the paddle.", lists=lists, by=teacher, at=AT - DAY)
    new = [NewMachine(kind, 1, ""), NewMachine(kind, 2, "")]
    saw, second_saw = add_machines(shop=cast.shop, wanted=new, by=teacher, at=AT - DAY)
    asked = Requirements(kind=kind, refresh_days=90)
    requirements = set_requirements(wanted=asked, asked=[bank], by=teacher, at=AT - DAY)
    for pupils in ([classmate], [student, classmate]):
        record_agreement(section=cast.section, students=pupils, signed_on=AT.date(), by=teacher, at=AT)
        if pupils == [classmate]:
            take_back_agreement(section=cast.section, student=classmate, reason="Another form", by=teacher, at=AT)
    missed = take(student, bank, AT, wrong={"r0"}, seed=1)
    learn(missed, AT + 10 * MINUTE)
    passed, later = take(student, bank, AT + DAY, seed=2), AT + DAY + timedelta(hours=1)
    voided = take(classmate, bank, AT, seed=3)
    void_attempt(by=teacher, attempt=voided.pk, reason="Looked it up", at=AT + DAY)
    voided.refresh_from_db()
    take(classmate, bank, AT + DAY, seed=4)

    def signs(machine: Machine, number: int, who: object = student) -> SignOff:
        return sign_off(student=who, machine=machine, by=teacher, ticked=SHOWN, tap=tap(number), at=later)

    made = signs(saw, 1)
    undone = undo_sign_off(sign_off=signs(second_saw, 2), by=teacher, at=later)
    withdrawn = withdraw_sign_off(sign_off=signs(second_saw, 3), by=teacher, reason="Wrong machine", at=later)
    signs(second_saw, 4, classmate)

    def holds(number: int, machines: list[Machine] | None, **more: object) -> Hold:
        asked = {"student": student, "machines": machines, "by": teacher, "tap": tap(number), "at": later}
        return place_hold(**asked, **more)

    hold = holds(5, [saw], reason="horseplay", words="Threw a block", lifts="talk")
    lifted = holds(6, None, reason="dress", lifts="rules", bank=bank, rules=["r0"])
    word = bank_text(rules=1, ask=1).rules[0].recall
    learn_held_rule(student=student, hold=lifted, rule="r0", said=word.key[0] if word else "", at=later)
    lifted = lift_hold(hold=lifted, by=teacher, words="Read the rule", at=later + MINUTE)
    returned = tag_out(machine=second_saw, reason="Blade cracked", by=teacher, tap=tap(7), at=later)
    returned = return_to_service(tag_out=returned, inspection="New blade", by=teacher, at=later + MINUTE)
    out = tag_out(machine=saw, reason="Guard loose", by=teacher, tap=tap(8), at=later + 2 * MINUTE)
    return Recorded(
        cast, bank, kind, saw, second_saw, missed, passed, voided, made, undone, withdrawn, hold, lifted, out, returned,
        requirements,
    )  # fmt: skip
